#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "formats/csv/dialect.h"
#include "formats/csv/header.h"
#include "formats/csv/row_split.h"

namespace revwright::csv {

/// Cells of a column that hold something else than a plain number.
struct OddCells {
    std::size_t text = 0;  // no sample
    std::size_t first_line = 0;
    std::string first = {};
    bool may_be_thousands = false;  // the first is like "1,234"
    std::size_t infinite = 0;       // no sample either
    std::size_t infinite_line = 0;
    std::string infinite_cell = {};
    std::string other_unit = {};  // a cell in another unit than those before it
    std::size_t other_unit_line = 0;
};

/// Reads one row after the other into the same buffer of numbers, and knows what of their cells is odd. This is the
/// simple way of reading, which says what is right; RowBlock takes the plain rows from it.
class RowReader {
public:
    RowReader(const RowRules& rules, const std::vector<Column>& columns, const std::string& file);

    enum class Row { whole, short_of_cells, blank };

    /// begin: where the row starts; a line feed ends it at or before end. Sets `next` behind that line feed.
    /// Refuses a row with more cells than the header, or a quote that does not close on its line.
    Result<Row> read(const char* begin, const char* end, std::size_t line);

    /// A row that somebody else has split: its odd cells are given one by one, from the left.
    void start_row(std::size_t line);
    /// The number that a cell stands for which is none at first sight; NaN, and counted, where it is none at all.
    double odd_value(std::size_t column, const OddText& cell);

    /// The row's numbers, NaN where there is none.
    const std::vector<double>& values() const { return values_; }
    const char* next() const { return next_; }
    /// How many cells the last row had.
    std::size_t cells() const { return cells_; }
    const std::vector<OddCells>& odd() const { return odd_; }
    /// The columns in which the last row had a cell of the column's style: a number with a unit, a switch, a
    /// hexadecimal number.
    const std::vector<std::size_t>& styled() const { return styled_; }
    /// The columns in which the last row had a number that is not finite.
    const std::vector<std::size_t>& infinite() const { return infinite_; }

private:
    std::optional<double> styled_value(std::string_view inside, char decimal, std::size_t column);

    RowRules rules_;
    const std::string& file_;
    const std::vector<Column>& columns_;
    std::vector<double> values_;
    std::size_t filled_ = 0;  // how many of the values the row before has set
    std::vector<OddCells> odd_;
    std::vector<std::size_t> styled_, infinite_;
    std::optional<std::int64_t> first_day_;
    const char* next_ = nullptr;
    std::size_t line_ = 0, cells_ = 0;
};

}  // namespace revwright::csv
