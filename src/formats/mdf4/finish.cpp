#include "formats/mdf4/finish.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <unordered_map>

namespace revwright::mdf4 {
namespace {

constexpr double kNoSample = std::numeric_limits<double>::quiet_NaN();

class Finish {
public:
    Finish(Column column, const GroupPlan& group, std::size_t& room, Lost& lost)
        : column_(std::move(column)), plan_(column_.plan()), group_(group), lost_(lost), words_(room) {
        channel_.name = plan_.name;
        channel_.unit_in_log = channel_.unit = plan_.unit;
        channel_.group = group.index;
        channel_.values = std::move(column_.values);
        if (column_.not_finite > 0)
            lost_.add(fmt::format("channel {} of {}: {} number{} not finite; no sample there", plan_.name,
                                  group_.label(), column_.not_finite, column_.not_finite == 1 ? " is" : "s are"));
    }

    Channel run(const SignalSource& source) {
        if (column_.kind() == Column::Kind::offset) {
            take_signal_texts(source);
        } else if (column_.words) {
            full_ |= column_.words->full();
            std::vector<std::string> texts;
            for (const std::string& raw : column_.words->texts()) texts.push_back(text_of(raw));
            take_texts(texts);
        } else if (plan_.conversion != nullptr && plan_.conversion->kind == Conversion::bits_to_text) {
            take_bits();
        } else if (plan_.conversion != nullptr && plan_.conversion->gives_texts()) {
            take_table();
        } else if (plan_.conversion != nullptr && plan_.conversion->reads_texts()) {
            lost_.add(fmt::format("channel {} of {} holds numbers but a conversion of texts; it holds the raw numbers",
                                  plan_.name, group_.label()));
        }
        if (plan_.all_invalid) {
            std::ranges::fill(channel_.values, kNoSample);
            lost_.add(fmt::format("channel {} of {} is marked invalid throughout; it holds no sample", plan_.name,
                                  group_.label()));
        }
        if (full_ || words_.full())
            lost_.add(
                fmt::format("channel {} of {} holds more texts than there is room for; there is no sample where a "
                            "further one stands",
                            plan_.name, group_.label()));
        channel_.texts.assign(words_.texts().begin(), words_.texts().end());
        return std::move(channel_);
    }

private:
    std::string text_of(const std::string& raw) const {
        return utf8_of({reinterpret_cast<const std::uint8_t*>(raw.data()), raw.size()}, column_.script());
    }

    double word(const std::string& text) {
        if (text.empty()) return kNoSample;
        const std::uint32_t index = words_.index_of(text);
        return index == Words::kNone ? kNoSample : index;
    }

    void take_signal_texts(const SignalSource& source) {
        if (source.texts == nullptr) {
            lost_.add(fmt::format("the texts of channel {} of {} are not in the file; it holds no sample", plan_.name,
                                  group_.label()));
            std::ranges::fill(channel_.values, kNoSample);
            return;
        }
        std::vector<std::string> texts;
        for (const std::string& raw : source.texts->words().texts()) texts.push_back(text_of(raw));
        full_ |= source.texts->full();
        std::size_t missing = 0;
        for (std::size_t i = 0; i < channel_.values.size(); ++i) {
            double& value = channel_.values[i];
            if (std::isnan(value)) continue;
            const std::uint32_t found = source.by_index ? source.texts->at_index(i) : source.texts->at_offset(value);
            missing += found == Words::kNone;
            value = found == Words::kNone ? kNoSample : found;
        }
        if (missing > 0 && !full_)
            lost_.add(fmt::format("channel {} of {}: {} text{} not where the record says; no sample there", plan_.name,
                                  group_.label(), missing, missing == 1 ? " is" : "s are"));
        take_texts(texts);
    }

    /// `values` are indices into texts: converts each text once.
    void take_texts(const std::vector<std::string>& texts) {
        const Conversion* const conversion = plan_.conversion;
        const bool converted = conversion != nullptr && conversion->reads_texts();
        if (conversion != nullptr && !converted)
            lost_.add(fmt::format("channel {} of {} holds texts but a conversion of numbers; it holds the raw texts",
                                  plan_.name, group_.label()));
        std::vector<double> to(texts.size(), kNoSample);
        std::vector<bool> known(texts.size());
        for (double& value : channel_.values) {
            if (std::isnan(value)) continue;
            const auto i = static_cast<std::size_t>(value);
            if (!known[i]) {
                const Outcome outcome = converted ? conversion->of(texts[i]) : Outcome{0.0, &texts[i]};
                to[i] = outcome.text != nullptr ? word(*outcome.text) : outcome.number;
                known[i] = true;
            }
            value = to[i];
        }
    }

    void take_bits() {
        if (column_.kind() != Column::Kind::number || !plan_.is_integer()) {
            lost_.add(
                fmt::format("channel {} of {} is no integer but has a conversion of bits; it holds the raw numbers",
                            plan_.name, group_.label()));
            return;
        }
        // A negative number has the bits of its width.
        const std::uint64_t mask = ~std::uint64_t{0} >> (64 - plan_.bit_count);
        std::unordered_map<double, double> known;
        for (double& value : channel_.values) {
            if (std::isnan(value)) continue;
            const auto [found, is_new] = known.try_emplace(value);
            if (is_new) {
                const auto raw = static_cast<std::uint64_t>(static_cast<std::int64_t>(value));
                found->second = word(plan_.conversion->of_bits(raw & mask));
            }
            value = found->second;
        }
    }

    void take_table() {
        const Conversion& table = *plan_.conversion;
        const bool whole = column_.whole();
        double last = kNoSample;
        Outcome of_last = table.of(last, whole);
        // States last: most samples are as the one before.
        const auto outcome_of = [&](double raw) {
            if (raw != last) of_last = table.of(last = raw, whole);
            return of_last;
        };
        const bool any_word = std::ranges::any_of(channel_.values, [&](double raw) {
            const Outcome outcome = outcome_of(raw);
            return outcome.text != nullptr && !outcome.text->empty();
        });
        const bool numbers = !any_word || table.numbers_with_status();
        if (any_word && numbers) channel_.quality.push_back("not-available");
        std::unordered_map<const std::string*, double> known;
        for (double& value : channel_.values) {
            const Outcome outcome = outcome_of(value);
            if (numbers) {
                value = outcome.text != nullptr ? kNoSample : outcome.number;
            } else if (outcome.text != nullptr) {
                const auto [found, is_new] = known.try_emplace(outcome.text);
                if (is_new) found->second = word(*outcome.text);
                value = found->second;
            } else {
                value = std::isnan(outcome.number) ? kNoSample : word(fmt::format("{}", outcome.number));
            }
        }
    }

    Column column_;
    const ChannelPlan& plan_;
    const GroupPlan& group_;
    Lost& lost_;
    Words words_;
    Channel channel_;
    bool full_ = false;
};

}  // namespace

Channel finish_column(Column column, const GroupPlan& group, const SignalSource& source, std::size_t& room_for_texts,
                      Lost& lost) {
    return Finish(std::move(column), group, room_for_texts, lost).run(source);
}

}  // namespace revwright::mdf4
