#pragma once

#include <cstddef>
#include <vector>

#include "formats/csv/header.h"
#include "formats/csv/row_block.h"
#include "formats/csv/store.h"

namespace revwright::csv {

/// Rows of blocks that are to be kept, until their numbers are poured into the columns: all columns at once.
class ColumnFill {
public:
    /// rows_expected: what to make room for once a column is seen to be long.
    ColumnFill(const Header& header, std::size_t rows_expected);

    /// The row is the group's row number `row`; rows are added in order, and the block must stay as it is until pour.
    void add(std::size_t group, const RowBlock& block, std::size_t block_row, std::size_t row);

    /// Puts what was added into the stores, one for each column.
    void pour(std::vector<SampleStore>& stores);

private:
    struct Piece {
        const RowBlock* block = nullptr;
        std::size_t block_row = 0, rows = 0;  // of the block
        std::size_t row = 0;                  // of the group
    };
    void pour_column(std::size_t column, SampleStore& store) const;

    std::vector<std::vector<Piece>> pieces_;  // by group
    std::vector<std::size_t> group_of_;       // by column; kNoGroup for clocks
    std::size_t rows_expected_ = 0;
    bool empty_ = true;
};

/// Only a column of more rows than these gets room for all that are expected.
inline constexpr std::size_t kRowsBeforeReserving = 1024;

}  // namespace revwright::csv
