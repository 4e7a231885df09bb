#include "formats/csv/rows.h"

#include <algorithm>
#include <fmt/format.h>
#include <limits>

#include "formats/csv/cells.h"
#include "formats/csv/clock_text.h"
#include "formats/csv/number.h"
#include "formats/csv/odd_cell.h"

namespace revwright::csv {
namespace {

constexpr double kBlank = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kQuotedText = 24;  // bytes of a cell that a sentence repeats

std::string shown(std::string_view cell) {
    if (cell.size() <= kQuotedText) return cell_text(cell);
    return cell_text(cell.substr(0, kQuotedText)) + "...";
}

}  // namespace

RowReader::RowReader(const RowRules& rules, const std::vector<Column>& columns, const std::string& file)
    : rules_(rules), file_(file), columns_(columns), values_(columns.size(), kBlank), odd_(columns.size()) {}

/// What the cell is in the column's own style; nothing where it is not in it.
std::optional<double> RowReader::styled_value(std::string_view inside, char decimal, std::size_t column) {
    const CellStyle& style = columns_[column].style;
    switch (style.kind) {
        case CellStyle::Kind::clock: {
            const auto reading = read_clock_text(inside);
            if (!reading) return std::nullopt;
            if (!reading->day) return reading->seconds;
            if (!first_day_) first_day_ = reading->day;
            return static_cast<double>(*reading->day - *first_day_) * 86400.0 + reading->seconds;
        }
        case CellStyle::Kind::with_unit: {
            if (!odd_[column].other_unit.empty()) return std::nullopt;  // it will be left out
            // The short way: the unit stands there as in the first cell.
            if (inside.ends_with(style.written))
                if (const auto plain =
                        whole_number(trim(inside.substr(0, inside.size() - style.written.size())), decimal))
                    return plain;
            const auto number = number_with_unit(inside, decimal);
            if (!number) return std::nullopt;
            if (!same_unit(number->unit, style.unit)) {
                if (odd_[column].other_unit.empty())
                    odd_[column].other_unit = shown(inside), odd_[column].other_unit_line = line_;
                return std::nullopt;
            }
            return number->value;
        }
        case CellStyle::Kind::yes_no:
            return yes_or_no(inside);
        case CellStyle::Kind::hexadecimal:
            return hexadecimal(inside);
        case CellStyle::Kind::plain:
        case CellStyle::Kind::units_differ:
            return std::nullopt;
    }
    return std::nullopt;
}

double RowReader::odd_value(std::size_t column, const OddText& cell) {
    const auto [raw, inside, decimal] = cell;
    if (const auto number = whole_number(inside, decimal)) return *number;
    if (const auto value = styled_value(inside, decimal, column)) {
        styled_.push_back(column);
        return *value;
    }
    const auto grouped = grouped_number(inside, decimal);
    if (grouped && (grouped->certain || grouped->mark == columns_[column].style.thousands)) return grouped->value;
    OddCells& odd = odd_[column];
    if (stands_for_infinity(inside, decimal)) {
        if (odd.infinite++ == 0) odd.infinite_line = line_, odd.infinite_cell = shown(inside);
        infinite_.push_back(column);
    } else if (odd.text++ == 0) {
        odd.first_line = line_, odd.first = shown(raw), odd.may_be_thousands = grouped.has_value();
    }
    return kBlank;
}

void RowReader::start_row(std::size_t line) {
    line_ = line;
    styled_.clear();
    infinite_.clear();
}

Result<RowReader::Row> RowReader::read(const char* begin, const char* end, std::size_t line) {
    start_row(line);
    RowSplitter splitter(
        rules_, begin, end, [this](std::size_t column, double value) { values_[column] = value; },
        [this](std::size_t column, const OddText& cell) { return odd_value(column, cell); });
    const RowSplit split = splitter.split();
    const auto wrong = [&](std::string what) {
        return refuse(std::move(what), Place{file_, line_, static_cast<std::size_t>(split.wrong - begin) + 1});
    };
    if (split.kind == RowSplit::Kind::open_quote) return wrong("expected a closing quote on the same line, found none");
    if (split.kind == RowSplit::Kind::too_many_cells)
        return wrong(fmt::format("expected {} cells as in the header, found more", rules_.columns));
    next_ = split.next;
    cells_ = split.cells;
    // Only what the row before has set needs blanking: short rows under a wide header stay cheap.
    for (std::size_t i = cells_; i < filled_; ++i) values_[i] = kBlank;
    filled_ = cells_;
    return split.kind == RowSplit::Kind::whole   ? Row::whole
           : split.kind == RowSplit::Kind::blank ? Row::blank
                                                 : Row::short_of_cells;
}

}  // namespace revwright::csv
