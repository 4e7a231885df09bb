#include "formats/csv/builder.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright::csv {
namespace {

class LogBuilder {
public:
    LogBuilder(Header header, Body body, const std::string& file) : header_(std::move(header)), body_(std::move(body)) {
        log_.file = file;
        log_.format = "csv";
        log_.lost = std::move(header_.lost);
        std::ranges::move(body_.lost, std::back_inserter(log_.lost));
        for (const Clock& clock : body_.clocks) std::ranges::move(clock.notes(), std::back_inserter(log_.quality));
    }

    Log build() {
        for (std::size_t group = 0; group < header_.groups.size(); ++group) add_group(group);
        compare_clocks();
        doubt_clock();
        return std::move(log_);
    }

private:
    void add_group(std::size_t index) {
        const Group& group = header_.groups[index];
        Clock& clock = body_.clocks[index];
        base_of_.push_back(add_base(index));
        slow_.clear();
        for (std::size_t i = group.begin; i < group.end; ++i) {
            if (i == group.time || header_.columns[i].left_out) continue;
            if (!may_stay(i)) continue;
            SampleStore& store = body_.stores[i];
            const bool slow = 2 * store.count() < clock.rows();
            Column& column = header_.columns[i];
            log_.channels.push_back({.name = std::move(column.name),
                                     .unit_in_log = column.unit,
                                     .key = {},
                                     .unit = column.unit,
                                     .time_base = slow ? slow_base(i, clock) : base_of_[index],
                                     .values = slow ? store.take_samples() : store.take_dense(clock.rows())});
        }
        if (base_of_[index] == index_of_new_) log_.time_bases[index_of_new_].seconds = clock.take();
    }

    /// A clock that reads as an earlier one does in every row is that clock: one time base for both.
    std::size_t add_base(std::size_t index) {
        for (std::size_t before = 0; before < index; ++before) {
            const TimeBase& known = log_.time_bases[base_of_[before]];
            if (known.seconds == body_.clocks[index].seconds()) return base_of_[before];
        }
        index_of_new_ = log_.time_bases.size();
        log_.time_bases.push_back({});
        return index_of_new_;
    }

    /// Says what of the column is no sample, and whether it holds any that can be used.
    bool may_stay(std::size_t i) {
        Column& column = header_.columns[i];
        const OddCells& odd = body_.odd[i];
        const std::string why = why_out(i);
        if (!why.empty()) {
            log_.lost.push_back(fmt::format("channel {} is left out: {}", column.name, why));
            return false;
        }
        if (column.style.kind == CellStyle::Kind::with_unit && column.unit.empty()) column.unit = column.style.unit;
        if (odd.text > 0)
            log_.lost.push_back(
                fmt::format("channel {}: {} cell{} no number, the first \"{}\" in line {}{}; no sample "
                            "there",
                            column.name, odd.text, odd.text == 1 ? " holds" : "s hold", odd.first, odd.first_line,
                            odd.may_be_thousands ? kThousands : ""));
        tell_infinite(i);
        return true;
    }

    /// Why the column is no channel; empty where it is one.
    std::string why_out(std::size_t i) const {
        const Column& column = header_.columns[i];
        const OddCells& odd = body_.odd[i];
        const CellStyle& style = column.style;
        if (style.kind == CellStyle::Kind::units_differ)
            return fmt::format("its cells are in different units, \"{}\" among cells in {}", style.other, style.unit);
        if (body_.stores[i].count() == 0)
            return odd.infinite > 0 ? fmt::format("it holds no finite number, the first \"{}\" in line {}",
                                                  odd.infinite_cell, odd.infinite_line)
                   : odd.text > 0 && odd.may_be_thousands
                       ? fmt::format("it holds no number, the first \"{}\" in line {}{}", odd.first, odd.first_line,
                                     kThousands)
                       : "it holds no number";
        if (!odd.other_unit.empty())
            return fmt::format("its cells are in different units, \"{}\" in line {} after cells in {}", odd.other_unit,
                               odd.other_unit_line, style.unit);
        const bool styled = style.kind != CellStyle::Kind::plain;
        if (styled && body_.styled[i] != body_.stores[i].count())
            return fmt::format("of its {} numbers {} are written {}, the others plainly", body_.stores[i].count(),
                               body_.styled[i], manner(style.kind));
        if (style.kind == CellStyle::Kind::with_unit && !column.unit.empty() && !same_unit(column.unit, style.unit))
            return fmt::format("the header gives its unit as {}, its cells as {}", column.unit, style.unit);
        return {};
    }

    static const char* manner(CellStyle::Kind kind) {
        return kind == CellStyle::Kind::with_unit ? "with a unit"
               : kind == CellStyle::Kind::yes_no  ? "as on or off"
                                                  : "in hexadecimal digits";
    }

    void tell_infinite(std::size_t i) {
        const OddCells& odd = body_.odd[i];
        if (odd.infinite == 0) return;
        const auto known = body_.infinite.find(i);
        const Body::Span span = known == body_.infinite.end() ? Body::Span{} : known->second;
        log_.quality.push_back(
            {"not-finite", span.start_s, span.end_s,
             fmt::format("channel {}: {} cell{} no finite number, the first \"{}\" in line {}; no sample there",
                         header_.columns[i].name, odd.infinite, odd.infinite == 1 ? " holds" : "s hold",
                         odd.infinite_cell, odd.infinite_line)});
    }

    /// The time base of a channel that is blank in most rows, shared by channels sampled in the same rows.
    std::size_t slow_base(std::size_t i, const Clock& clock) {
        for (const SlowBase& known : slow_)
            if (body_.stores[known.column].same_rows(body_.stores[i])) return known.base;
        TimeBase base;
        base.seconds.reserve(body_.stores[i].count());
        for (std::size_t row = 0; row < clock.rows(); ++row)
            if (!body_.stores[i].is_blank(row)) base.seconds.push_back(clock.seconds()[row]);
        slow_.push_back({i, log_.time_bases.size()});
        log_.time_bases.push_back(std::move(base));
        return slow_.back().base;
    }

    /// Clocks that never overlap count from different zeros, or belong to different drives.
    void compare_clocks() {
        const std::vector<double>& first = log_.time_bases[base_of_[0]].seconds;
        for (std::size_t i = 1; i < base_of_.size(); ++i) {
            const std::vector<double>& other = log_.time_bases[base_of_[i]].seconds;
            if (first.empty() || other.empty()) continue;
            if (other.front() <= first.back() && first.front() <= other.back()) continue;
            log_.quality.push_back(
                {"time-apart", std::min(first.front(), other.front()), std::max(first.back(), other.back()),
                 fmt::format(
                     "the clock {} runs from {:g} to {:g} s, {} from {:g} to {:g} s; they have no time in common, "
                     "so that their channels cannot be held against each other",
                     body_.clocks[0].name(), first.front(), first.back(), body_.clocks[i].name(), other.front(),
                     other.back())});
        }
    }

    void doubt_clock() {
        const std::vector<double>& seconds = log_.time_bases[base_of_[0]].seconds;
        if (seconds.empty()) return;
        if (header_.groups[0].counts_rows)
            log_.quality.push_back({"time-missing", seconds.front(), seconds.back(),
                                    fmt::format("there is no time column; {} numbers the rows and is taken as seconds: "
                                                "no duration, rate or acceleration of this log can be trusted",
                                                body_.clocks[0].name())});
        if (!header_.clock_doubt.empty())
            log_.quality.push_back({"time-unit", seconds.front(), seconds.back(), std::move(header_.clock_doubt)});
    }

    struct SlowBase {
        std::size_t column, base;
    };
    static constexpr const char* kThousands = ", which may mean a thousand or a fraction";
    Header header_;
    Body body_;
    Log log_;
    std::vector<std::size_t> base_of_;  // of each group
    std::size_t index_of_new_ = 0;
    std::vector<SlowBase> slow_;  // of the group at hand
};

}  // namespace

Log build_log(Header header, Body body, const std::string& file) {
    return LogBuilder(std::move(header), std::move(body), file).build();
}

}  // namespace revwright::csv
