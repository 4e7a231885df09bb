#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

namespace revwright::csv {

/// Where the cells of a stretch of text end, quotes not regarded: for rows in which every cell is a plain number.
class CellEnds {
public:
    /// text: at most 4 GiB. Replaces what was found before.
    void find(std::string_view text, char delimiter);

    /// Of each cell the offset of the delimiter or line feed behind it.
    std::span<const std::uint32_t> cells() const { return {cells_.data(), cell_count_}; }
    /// Of each line the index of its last cell. A last line without a line feed is none.
    std::span<const std::uint32_t> lines() const { return lines_; }

private:
    void add(const char* bytes, std::uint32_t offset, char delimiter);

    std::vector<std::uint32_t> cells_;  // longer than cell_count_: written in groups of eight
    std::size_t cell_count_ = 0;
    std::vector<std::uint32_t> lines_;
};

}  // namespace revwright::csv
