#include "formats/csv/column_fill.h"

#include <algorithm>
#include <limits>

namespace revwright::csv {
namespace {

constexpr std::size_t kNoGroup = std::numeric_limits<std::size_t>::max();

}  // namespace

ColumnFill::ColumnFill(const Header& header, std::size_t rows_expected)
    : pieces_(header.groups.size()), group_of_(header.columns.size(), kNoGroup), rows_expected_(rows_expected) {
    for (std::size_t i = 0; i < header.groups.size(); ++i) {
        const Group& group = header.groups[i];
        for (std::size_t column = group.begin; column < group.end; ++column)
            if (column != group.time) group_of_[column] = i;
    }
}

void ColumnFill::add(std::size_t group, const RowBlock& block, std::size_t block_row, std::size_t row) {
    empty_ = false;
    std::vector<Piece>& pieces = pieces_[group];
    if (!pieces.empty()) {
        Piece& last = pieces.back();
        if (last.block == &block && last.block_row + last.rows == block_row) {
            ++last.rows;
            return;
        }
    }
    pieces.push_back({&block, block_row, 1, row});
}

void ColumnFill::pour(std::vector<SampleStore>& stores) {
    if (empty_) return;
    for (std::size_t column = 0; column < stores.size(); ++column)
        if (group_of_[column] != kNoGroup) pour_column(column, stores[column]);
    for (std::vector<Piece>& pieces : pieces_) pieces.clear();
    empty_ = true;
}

void ColumnFill::pour_column(std::size_t column, SampleStore& store) const {
    const std::vector<Piece>& pieces = pieces_[group_of_[column]];
    if (pieces.empty()) return;
    for (const Piece& piece : pieces) store.add(piece.row, {piece.block->column(column) + piece.block_row, piece.rows});
    const std::size_t before = pieces.front().row, now = pieces.back().row + pieces.back().rows;
    if (before < kRowsBeforeReserving && now >= kRowsBeforeReserving) store.reserve(now, rows_expected_);
}

}  // namespace revwright::csv
