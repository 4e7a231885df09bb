#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "formats/csv/dialect.h"

namespace revwright::csv {

/// Cells of a column that hold something else than a number; each counts as no sample.
struct TextCells {
    std::size_t count = 0;
    std::size_t first_line = 0;
    std::string first;
};

/// Reads one row after the other into the same buffer of numbers.
class RowReader {
public:
    RowReader(const Dialect& dialect, std::size_t columns, const std::string& file)
        : delimiter_(dialect.delimiter), decimal_(dialect.decimal), file_(file), values_(columns), text_(columns) {}

    enum class Row { whole, short_of_cells, blank };

    /// begin: where the row starts; a line feed ends it at or before end. Sets `next` behind that line feed.
    /// Refuses a row with more cells than the header, a quote that does not close on its line, a number that is not
    /// finite.
    Result<Row> read(const char* begin, const char* end, std::size_t line);

    /// The row's numbers, NaN where there is none.
    const std::vector<double>& values() const { return values_; }
    const char* next() const { return next_; }
    /// How many cells the last row had.
    std::size_t cells() const { return cells_; }
    const std::vector<TextCells>& text() const { return text_; }

private:
    struct Cell {
        const char* end = nullptr;  // the delimiter, or the line feed
        double value = 0.0;
    };
    Result<Cell> read_odd_cell(const char* begin, const char* end, std::size_t column);
    Error error_at(const char* where, std::string what) const;

    char delimiter_, decimal_;
    const std::string& file_;
    std::vector<double> values_;
    std::vector<TextCells> text_;
    const char* row_ = nullptr;
    const char* next_ = nullptr;
    std::size_t line_ = 0, cells_ = 0;
};

}  // namespace revwright::csv
