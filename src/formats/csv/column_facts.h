#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/workers.h"
#include "formats/csv/dialect.h"
#include "formats/csv/odd_cell.h"

namespace revwright::csv {

/// What the first rows show of one column.
struct ColumnFacts {
    std::size_t cells = 0;  // with something in them
    std::size_t numbers = 0, clocks = 0, dates = 0, with_unit = 0, yes_no = 0, hexadecimal = 0;
    std::string first = {};  // the first cell with something in it
    CellStyle style = {};
    // Of its numbers or clock readings, one after the other:
    std::size_t rises = 0, repeats = 0, falls = 0;
    double last = std::numeric_limits<double>::quiet_NaN();
    double smallest_rise = std::numeric_limits<double>::infinity(), largest_rise = 0.0;

    /// All cells are of one kind.
    bool all(std::size_t count) const { return cells > 0 && count == cells; }
    /// Runs forward, but for a fault now and then.
    bool runs() const { return rises > 0 && 10 * falls <= rises + repeats; }
    /// A clock that stands still for several rows and then steps, as a count of whole seconds does.
    bool is_coarse() const { return falls == 0 && rises >= 3 && repeats > rises; }
    /// Rises by the same step from row to row.
    bool counts_rows() const { return rises >= 2 && falls + repeats == 0 && smallest_rise == largest_rise; }
};

/// One per column, from the sample of the dialect.
std::vector<ColumnFacts> column_facts(const Dialect& dialect, std::size_t columns, const Workers& workers);

}  // namespace revwright::csv
