#include "formats/csv/rows.h"

#include <algorithm>
#include <fmt/format.h>
#include <limits>

#include "formats/csv/cells.h"
#include "formats/csv/number.h"

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

/// A cell that is not plainly a number: quoted, text, or a number among blanks.
Result<RowReader::Cell> RowReader::read_odd_cell(const char* begin, const char* end, std::size_t column) {
    const char* const line_end = std::find(begin, end, '\n');
    const std::string_view rest(begin, static_cast<std::size_t>(line_end - begin));
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
    if (cell.end == line_end && raw.ends_with('\r')) --cell.end;
    std::string_view inside = trim(raw);
    if (quoted && inside.size() >= 2) inside = trim(inside.substr(1, inside.size() - 2));
    if (inside.empty()) return cell;
    if (const auto number = whole_number(inside, decimal_)) {
        cell.value = *number;
        return cell;
    }
    if (stands_for_infinity(inside, decimal_))
        return tl::unexpected(error_at(begin, fmt::format("expected a finite number, found \"{}\"", shown(inside))));
    TextCells& text = text_[column];
    if (text.count++ == 0) text.first_line = line_, text.first = shown(raw);
    return cell;
}

Result<RowReader::Row> RowReader::read(const char* begin, const char* end, std::size_t line) {
    row_ = begin;
    line_ = line;
    const std::size_t columns = values_.size();
    const char* p = begin;
    for (std::size_t column = 0; column < columns; ++column) {
        double value = kBlank;
        const char* stop = p;
        while (*stop == ' ') ++stop;
        stop = scan_number(stop, decimal_, value);
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
            std::fill(values_.begin() + static_cast<std::ptrdiff_t>(column) + 1, values_.end(), kBlank);
            if (cells_ == columns) return Row::whole;
            const bool empty = trim({begin, static_cast<std::size_t>(p - begin)}).empty();
            return empty ? Row::blank : Row::short_of_cells;
        }
        ++p;
    }
    // A delimiter after the last cell: nothing may follow it.
    const char* const extra = p;
    while (*p == ' ') ++p;
    if (!at_row_end(p))
        return tl::unexpected(error_at(extra, fmt::format("expected {} cells as in the header, found more", columns)));
    cells_ = columns;
    next_ = p + (*p == '\r' ? 2 : 1);
    return Row::whole;
}

}  // namespace revwright::csv
