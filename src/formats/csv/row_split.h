#pragma once

#include <cstddef>
#include <limits>
#include <string_view>

#include "formats/csv/cells.h"
#include "formats/csv/number.h"

namespace revwright::csv {

/// How the rows of one file are written.
struct RowRules {
    char delimiter = ',';
    char decimal = '.';       // of quoted cells
    char bare_decimal = '.';  // of others
    std::size_t columns = 0;
};

/// What became of one row.
struct RowSplit {
    enum class Kind { whole, short_of_cells, blank, too_many_cells, open_quote };
    Kind kind = Kind::whole;
    std::size_t cells = 0;
    const char* next = nullptr;   // behind the row's line feed
    const char* wrong = nullptr;  // the cell too many, or the quote that does not close
};

/// A cell that is no plain number.
struct OddText {
    std::string_view raw;     // as it stands between the delimiters
    std::string_view inside;  // without quotes, and without blanks at both ends; never empty
    char decimal = '.';
};

/// Whether the line ends here: at the line feed, or at the carriage return before it.
inline bool at_row_end(const char* p) { return *p == '\n' || (*p == '\r' && p[1] == '\n'); }

/// Splits the row at `begin`, which a line feed ends before `end`. For each cell, from the left, put(column, number) is
/// called, NaN for a blank one; of a cell that is no plain number, odd(column, OddText) gives the number.
template <class Put, class Odd>
class RowSplitter {
public:
    RowSplitter(const RowRules& rules, const char* begin, const char* end, Put put, Odd odd)
        : rules_(rules), begin_(begin), end_(end), put_(put), odd_(odd) {}

    RowSplit split() {
        const char* p = begin_;
        for (std::size_t column = 0; column < rules_.columns; ++column) {
            double value = kNone;
            const char* stop = p;
            while (*stop == ' ') ++stop;
            stop = scan_number(stop, rules_.bare_decimal, value);
            while (*stop == ' ') ++stop;
            if (*stop != rules_.delimiter && !at_row_end(stop)) {
                stop = odd_cell(p, column, value);
                if (stop == nullptr) return {RowSplit::Kind::open_quote, column, nullptr, quote_};
            }
            put_(column, value);
            p = stop;
            if (*p != rules_.delimiter) return ended(p, column + 1);
            ++p;
        }
        return behind_the_last(p);
    }

private:
    static constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

    RowSplit ended(const char* p, std::size_t cells) const {
        using Kind = RowSplit::Kind;
        const char* const next = p + (*p == '\r' ? 2 : 1);
        if (cells == rules_.columns) return {Kind::whole, cells, next};
        const bool empty = trim({begin_, static_cast<std::size_t>(p - begin_)}).empty();
        return {empty ? Kind::blank : Kind::short_of_cells, cells, next};
    }

    /// Delimiters after the last cell: nothing may stand between and behind them.
    RowSplit behind_the_last(const char* p) const {
        const char* extra = p;
        while (*p == ' ' || *p == rules_.delimiter) {
            ++p;
            if (p[-1] == rules_.delimiter) extra = p;
        }
        if (!at_row_end(p)) return {RowSplit::Kind::too_many_cells, rules_.columns, nullptr, extra};
        return ended(p, rules_.columns);
    }

    /// Found once for each row that needs it: looking for it in every odd cell would take a square of a long line's
    /// length.
    const char* line_end(const char* from) {
        if (line_end_ == nullptr)
            line_end_ = from + std::string_view(from, static_cast<std::size_t>(end_ - from)).find('\n');
        return line_end_;
    }

    /// A cell that is not plainly a number: quoted, text, or a number among tabs. Returns its end: the delimiter or the
    /// line's end; null where a quote does not close.
    const char* odd_cell(const char* begin, std::size_t column, double& value) {
        const char* const line_stop = line_end(begin);
        const std::string_view rest(begin, static_cast<std::size_t>(line_stop - begin));
        const std::size_t quote = rest.find_first_not_of(' ');
        std::size_t look = 0;
        const bool quoted = quote != std::string_view::npos && rest[quote] == '"';
        if (quoted) {
            const std::size_t length = quoted_length(rest.substr(quote));
            quote_ = begin + quote;
            if (length == 0) return nullptr;
            look = quote + length;
        }
        const std::string_view raw = rest.substr(0, rest.find(rules_.delimiter, look));
        const char* end = begin + raw.size();
        if (end == line_stop && raw.ends_with('\r')) --end;
        std::string_view inside = trim(raw);
        if (quoted && inside.size() >= 2) inside = trim(inside.substr(1, inside.size() - 2));
        value =
            inside.empty() ? kNone : odd_(column, OddText{raw, inside, quoted ? rules_.decimal : rules_.bare_decimal});
        return end;
    }

    const RowRules& rules_;
    const char* begin_;
    const char* end_;
    const char* line_end_ = nullptr;
    const char* quote_ = nullptr;
    Put put_;
    Odd odd_;
};

}  // namespace revwright::csv
