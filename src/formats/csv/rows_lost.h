#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace revwright::csv {

/// Rows of one kind: how many, and where the first is.
struct RowCount {
    std::size_t rows = 0, first_line = 0;
    void add(std::size_t line) {
        if (rows++ == 0 || line < first_line) first_line = line;
    }
};

/// Rows that were not read, or not whole.
struct RowsLost {
    RowCount short_of_cells, without_time, header_again;
    /// One sentence for each kind that there is.
    void tell(std::vector<std::string>& lost) const;
};

}  // namespace revwright::csv
