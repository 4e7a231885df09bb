#include "formats/sheets/tyre.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <fmt/format.h>
#include <optional>
#include <string>

#include "formats/sheets/plausible.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

/// The speed symbols of UNECE R30 for cars, and the open-ended Z of the sidewall.
constexpr std::string_view kSpeedSymbols = "FGJKLMNPQRSTUHVWYZ";

/// The text in capitals, eaten from the left; spaces before anything are skipped.
class Marking {
public:
    explicit Marking(std::string_view text) {
        for (const char c : text) rest_ += static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
        skip_spaces();
    }
    bool eat(char wanted) {
        if (rest_.empty() || rest_[0] != wanted) return false;
        drop(1);
        return true;
    }
    /// Up to `digits` digits, then a decimal fraction if there is one.
    std::optional<double> eat_number(std::size_t digits) {
        constexpr std::string_view kDigits = "0123456789";
        std::size_t length = std::min({rest_.find_first_not_of(kDigits), rest_.size(), digits});
        if (length < rest_.size() && rest_[length] == '.')
            length = std::min(rest_.find_first_not_of(kDigits, length + 1), rest_.size());
        double value = 0.0;
        const auto [end, fault] = std::from_chars(rest_.data(), rest_.data() + length, value, std::chars_format::fixed);
        if (fault != std::errc{} || end != rest_.data() + length) return std::nullopt;
        drop(length);
        return value;
    }
    std::optional<char> eat_speed_symbol() {
        if (rest_.empty() || !kSpeedSymbols.contains(rest_[0])) return std::nullopt;
        const char symbol = rest_[0];
        drop(1);
        return symbol;
    }
    bool done() const { return rest_.empty(); }

private:
    void drop(std::size_t count) {
        rest_.erase(0, count);
        skip_spaces();
    }
    void skip_spaces() { rest_.erase(0, std::min(rest_.find_first_not_of(' '), rest_.size())); }

    std::string rest_;
};

/// "95Y", "(95Y)", "95", "Y" or nothing; false where it is something else.
bool eat_service(Marking& marking, double& load_index, std::string& symbol) {
    const bool bracket = marking.eat('(');
    if (const auto load = marking.eat_number(3)) load_index = *load;
    if (const auto letter = marking.eat_speed_symbol()) symbol = *letter;
    if (bracket && (!marking.eat(')') || symbol.empty())) return false;
    return marking.done();
}

std::optional<Error> outside(double value, std::string_view name) {
    const Range& range = plausible(name);
    if (value >= range.low && value <= range.high) return std::nullopt;
    return Error{Fault::bad_input,
                 fmt::format("{} must lie between {} and {}, found {}", name, range.low, range.high, value)};
}

bool is_whole(double value) { return value == static_cast<int>(value); }

}  // namespace

Result<Tyre> read_tyre(std::string_view text) {
    const auto not_a_tyre = [&] {
        return refuse(fmt::format("must be a radial tyre size such as \"225/45 R18 95Y\", found {}", quoted(text)));
    };
    if (text.size() > 40) return not_a_tyre();
    Marking marking(text);
    const auto width = marking.eat_number(4);
    if (!width || !marking.eat('/')) return not_a_tyre();
    const auto aspect = marking.eat_number(3);
    marking.eat('Z');
    if (!aspect || !marking.eat('R')) return not_a_tyre();
    const auto rim = marking.eat_number(2);  // two at most, so that "R1895Y" is 18 and 95Y
    double load_index = 0.0;
    Tyre tyre;
    if (!rim || !eat_service(marking, load_index, tyre.speed_symbol)) return not_a_tyre();
    for (const auto& [value, name] :
         {std::pair{*width, "tyre.width_mm"}, std::pair{*aspect, "tyre.aspect_pct"}, std::pair{*rim, "tyre.rim_in"}})
        if (auto error = outside(value, name)) return tl::unexpected(*error);
    if (load_index != 0.0)
        if (auto error = outside(load_index, "tyre.load_index")) return tl::unexpected(*error);
    if (!is_whole(*width) || !is_whole(*aspect) || !is_whole(load_index)) return not_a_tyre();
    tyre.width_mm = static_cast<int>(*width);
    tyre.aspect_pct = static_cast<int>(*aspect);
    tyre.rim_in = *rim;
    tyre.load_index = static_cast<int>(load_index);
    return tyre;
}

double diameter_m(const Tyre& tyre) {
    constexpr double kInch = 0.0254;  // exact
    return kInch * tyre.rim_in + 2.0 * (tyre.width_mm * 1e-3) * (tyre.aspect_pct / 100.0);
}

double rolling_circumference_m(const Tyre& tyre) { return 3.05 * diameter_m(tyre); }

}  // namespace revwright::sheets
