#pragma once

#include <cstddef>
#include <deque>
#include <vector>

#include "core/workers.h"
#include "formats/csv/header.h"
#include "formats/csv/row_block.h"
#include "formats/csv/store.h"

namespace revwright::csv {

/// Rows that are to be kept, on their way into the columns. While those of one wave are added, one by one in the order
/// of the file, those of the wave before are poured, column by column: the two may go on at the same time.
class ColumnFill {
public:
    /// rows_expected: what to make room for once a column is seen to be long.
    ColumnFill(const Header& header, std::size_t rows_expected);

    /// The row is the group's row number `row`. The block must stay as it is until it is poured.
    void add(std::size_t group, const RowBlock& block, std::size_t block_row, std::size_t row);
    /// A row that is in no block: a number for each column.
    void add_alone(std::size_t group, std::vector<double> numbers, std::size_t row);

    /// What was added since the last turn is to be poured next; what was to be poured has been.
    void turn();
    bool anything_to_pour() const { return !pouring_.empty; }
    /// Puts the columns of one of so many shares into their stores.
    void pour(std::vector<SampleStore>& stores, std::size_t share, std::size_t shares) const;

private:
    struct Piece {
        const double* first = nullptr;  // of column 0
        std::size_t stride = 1;         // from column to column
        std::size_t rows = 0, row = 0;  // how many, and the first one's number in its group
    };
    struct Wave {
        std::vector<std::vector<Piece>> pieces;  // by group
        std::deque<std::vector<double>> alone;   // the numbers of rows that are in no block
        bool empty = true;
    };
    void pour_column(std::size_t column, SampleStore& store) const;

    Wave adding_, pouring_;
    std::vector<std::size_t> group_of_;  // by column; kNoGroup for clocks
    std::size_t rows_expected_ = 0;
};

/// Only a column of more rows than these gets room for all that are expected.
inline constexpr std::size_t kRowsBeforeReserving = 1024;

}  // namespace revwright::csv
