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

/// Where the row ends: at the line feed, or at the carriage return before it.
bool at_row_end(const char* p) { return *p == '\n' || (*p == '\r' && p[1] == '\n'); }

std::string shown(std::string_view cell) {
    if (cell.size() <= kQuotedText) return cell_text(cell);
    return cell_text(cell.substr(0, kQuotedText)) + "...";
}

}  // namespace

Error RowReader::error_at(const char* where, std::string what) const {
    return {Fault::bad_input, std::move(what), Place{file_, line_, static_cast<std::size_t>(where - row_) + 1}};
}

RowReader::RowReader(const Dialect& dialect, const std::vector<Column>& columns, const std::string& file)
    : delimiter_(dialect.delimiter),
      decimal_(dialect.decimal),
      bare_decimal_(dialect.bare_decimal),
      file_(file),
      columns_(columns),
      values_(columns.size(), kBlank),
      odd_(columns.size()) {}

/// Found once for each row that needs it: looking for it in every odd cell would take a square of a long line's length.
const char* RowReader::line_end(const char* from, const char* end) {
    if (line_end_ == nullptr) line_end_ = std::find(from, end, '\n');
    return line_end_;
}

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

/// The number that a cell stands for which is none at first sight; NaN, and counted, where it is none at all.
double RowReader::odd_value(std::string_view inside, std::string_view raw, char decimal, std::size_t column) {
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

/// A cell that is not plainly a number: quoted, text, or a number among blanks.
Result<RowReader::Cell> RowReader::read_odd_cell(const char* begin, const char* end, std::size_t column) {
    const char* const line_stop = line_end(begin, end);
    const std::string_view rest(begin, static_cast<std::size_t>(line_stop - begin));
    const std::size_t quote = rest.find_first_not_of(' ');
    std::size_t look = 0;
    const bool quoted = quote != std::string_view::npos && rest[quote] == '"';
    if (quoted) {
        const std::size_t length = quoted_length(rest.substr(quote));
        if (length == 0)
            return tl::unexpected(error_at(begin + quote, "expected a closing quote on the same line, found none"));
        look = quote + length;
    }
    const std::string_view raw = rest.substr(0, rest.find(delimiter_, look));
    Cell cell{begin + raw.size(), kBlank};
    if (cell.end == line_stop && raw.ends_with('\r')) --cell.end;
    std::string_view inside = trim(raw);
    if (quoted && inside.size() >= 2) inside = trim(inside.substr(1, inside.size() - 2));
    if (!inside.empty()) cell.value = odd_value(inside, raw, quoted ? decimal_ : bare_decimal_, column);
    return cell;
}

Result<RowReader::Row> RowReader::read(const char* begin, const char* end, std::size_t line) {
    row_ = begin;
    line_ = line;
    line_end_ = nullptr;
    styled_.clear();
    infinite_.clear();
    const std::size_t columns = values_.size();
    const char* p = begin;
    for (std::size_t column = 0; column < columns; ++column) {
        double value = kBlank;
        const char* stop = p;
        while (*stop == ' ') ++stop;
        stop = scan_number(stop, bare_decimal_, value);
        while (*stop == ' ') ++stop;
        if (*stop != delimiter_ && !at_row_end(stop)) {
            const auto cell = read_odd_cell(p, end, column);
            if (!cell) return tl::unexpected(cell.error());
            stop = cell->end;
            value = cell->value;
        }
        values_[column] = value;
        p = stop;
        if (*p != delimiter_) {
            cells_ = column + 1;
            next_ = p + (*p == '\r' ? 2 : 1);
            // Only what the row before has set needs blanking: short rows under a wide header stay cheap.
            for (std::size_t i = cells_; i < filled_; ++i) values_[i] = kBlank;
            filled_ = cells_;
            if (cells_ == columns) return Row::whole;
            const bool empty = trim({begin, static_cast<std::size_t>(p - begin)}).empty();
            return empty ? Row::blank : Row::short_of_cells;
        }
        ++p;
    }
    filled_ = columns;
    // Delimiters after the last cell: nothing may stand between and behind them.
    const char* extra = p;
    while (*p == ' ' || *p == delimiter_) {
        ++p;
        if (p[-1] == delimiter_) extra = p;
    }
    if (!at_row_end(p))
        return tl::unexpected(error_at(extra, fmt::format("expected {} cells as in the header, found more", columns)));
    cells_ = columns;
    next_ = p + (*p == '\r' ? 2 : 1);
    return Row::whole;
}

}  // namespace revwright::csv
