#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string_view>
#include <vector>

#include "formats/csv/cell_ends.h"
#include "formats/csv/header_again.h"
#include "formats/csv/plain_row.h"
#include "formats/csv/row_split.h"

namespace revwright::csv {

/// What every block of one file is read by.
struct BlockRules {
    RowRules rows;
    HeaderAgain header_again;
    std::string_view text;  // all of the rows, each ended by a line feed
};

/// A piece of the rows, read without regard to those before it: which of its lines are whole rows, their numbers column
/// by column, and their odd cells as text. What a row means (its time, what an odd cell stands for, what is wrong with
/// it) depends on the rows before, and is settled later by one reader in the order of the file.
class RowBlock {
public:
    /// Lines that follow one another and are of one kind.
    struct Stretch {
        enum class Kind {
            rows,          // whole ones, whose numbers are here
            other,         // no whole rows, or to be refused
            header_again,  // the header, with its units
        };
        Kind kind = Kind::rows;
        std::size_t rows = 0;        // how many lines; a header is one
        std::size_t first_row = 0;   // of this block, where they are rows
        const char* text = nullptr;  // where the first line or the header starts, where they are not
    };
    struct OddCell {
        std::uint32_t row = 0, column = 0;
        OddText text;
    };

    /// Replaces what the block holds by the lines from `begin` to before `end`, both starts of lines.
    void read(const BlockRules& rules, const char* begin, const char* end);

    std::span<const Stretch> stretches() const { return stretches_; }
    /// In the order of the file. Their numbers are not here yet.
    std::span<const OddCell> odd() const { return odd_; }
    void set(const OddCell& cell, double value) { values_[cell.column * room_ + cell.row] = value; }

    /// One number for each row, NaN for a blank.
    const double* column(std::size_t column) const { return values_.get() + column * room_; }
    /// How far the numbers of one row are apart.
    std::size_t stride() const { return room_; }

private:
    const char* read_lines(const BlockRules& rules, const char* begin);
    const char* read_line(const BlockRules& rules, const char* line);
    bool read_whole(const BlockRules& rules, const char* line);
    void make_room(std::size_t bytes, std::size_t columns);
    void add(Stretch::Kind kind, const char* line);

    std::unique_ptr<double[]> values_;  // column by column, room_ for each
    std::size_t held_ = 0;              // how many fit
    std::size_t room_ = 0, rows_ = 0;
    std::vector<Stretch> stretches_;
    std::vector<OddCell> odd_;
    CellEnds ends_;
};

}  // namespace revwright::csv
