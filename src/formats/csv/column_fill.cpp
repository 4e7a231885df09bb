#include "formats/csv/column_fill.h"

#include <algorithm>
#include <limits>
#include <utility>

namespace revwright::csv {
namespace {

constexpr std::size_t kNoGroup = std::numeric_limits<std::size_t>::max();

}  // namespace

ColumnFill::ColumnFill(const Header& header, std::size_t rows_expected)
    : group_of_(header.columns.size(), kNoGroup), rows_expected_(rows_expected) {
    adding_.pieces.resize(header.groups.size());
    pouring_.pieces.resize(header.groups.size());
    for (std::size_t i = 0; i < header.groups.size(); ++i) {
        const Group& group = header.groups[i];
        for (std::size_t column = group.begin; column < group.end; ++column)
            if (column != group.time) group_of_[column] = i;
    }
}

void ColumnFill::add(std::size_t group, const RowBlock& block, std::size_t block_row, std::size_t row) {
    adding_.empty = false;
    std::vector<Piece>& pieces = adding_.pieces[group];
    const double* const first = block.column(0) + block_row;
    if (!pieces.empty()) {
        Piece& last = pieces.back();
        const bool goes_on = last.first + last.rows == first && last.stride == block.stride() && block_row > 0;
        if (goes_on) return void(++last.rows);
    }
    pieces.push_back({first, block.stride(), 1, row});
}

void ColumnFill::add_alone(std::size_t group, std::vector<double> numbers, std::size_t row) {
    adding_.empty = false;
    adding_.alone.push_back(std::move(numbers));
    adding_.pieces[group].push_back({adding_.alone.back().data(), 1, 1, row});
}

void ColumnFill::turn() {
    std::swap(adding_, pouring_);
    for (std::vector<Piece>& pieces : adding_.pieces) pieces.clear();
    adding_.alone.clear();
    adding_.empty = true;
}

void ColumnFill::pour(std::vector<SampleStore>& stores, std::size_t share, std::size_t shares) const {
    const std::size_t end = (share + 1) * stores.size() / shares;
    for (std::size_t column = share * stores.size() / shares; column < end; ++column)
        if (group_of_[column] != kNoGroup) pour_column(column, stores[column]);
}

void ColumnFill::pour_column(std::size_t column, SampleStore& store) const {
    const std::vector<Piece>& pieces = pouring_.pieces[group_of_[column]];
    if (pieces.empty()) return;
    for (const Piece& piece : pieces) store.add(piece.row, {piece.first + column * piece.stride, piece.rows});
    const std::size_t before = pieces.front().row, now = pieces.back().row + pieces.back().rows;
    if (before < kRowsBeforeReserving && now >= kRowsBeforeReserving) store.reserve(now, rows_expected_);
}

}  // namespace revwright::csv
