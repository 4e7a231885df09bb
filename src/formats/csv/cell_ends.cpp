#include "formats/csv/cell_ends.h"

#include <algorithm>
#include <array>
#include <bit>

#include "formats/csv/marks.h"

namespace revwright::csv {
namespace {

// Where no bit is left this one is found, in a place that is void; nothing needs to ask whether one is left.
constexpr std::uint64_t kLastBit = std::uint64_t{1} << 63;

}  // namespace

void CellEnds::find(std::string_view text, char delimiter) {
    cell_count_ = 0;
    lines_.clear();
    if (cells_.size() < text.size() + kMarkedBytes) cells_.resize(text.size() + kMarkedBytes);
    std::size_t at = 0;
    for (; at + kMarkedBytes <= text.size(); at += kMarkedBytes)
        add(text.data() + at, static_cast<std::uint32_t>(at), delimiter);
    if (at == text.size()) return;
    std::array<char, kMarkedBytes> rest{};  // zero bytes mark nothing
    std::copy(text.begin() + static_cast<std::ptrdiff_t>(at), text.end(), rest.begin());
    add(rest.data(), static_cast<std::uint32_t>(at), delimiter);
}

void CellEnds::add(const char* bytes, std::uint32_t offset, char delimiter) {
    const Marks marks = marks_of(bytes, delimiter);
    for (std::uint64_t lines = marks.lines; lines != 0; lines &= lines - 1) {
        const std::uint64_t before = marks.cells & ((lines & (~lines + 1)) - 1);
        lines_.push_back(static_cast<std::uint32_t>(cell_count_) + static_cast<std::uint32_t>(bits_set(before)));
    }
    // Eight at a time, the last few of them void: how many cells there are is a guess the processor would get wrong.
    std::uint64_t cells = marks.cells;
    std::uint32_t* out = cells_.data() + cell_count_;
    const std::size_t count = bits_set(cells);
    for (std::size_t written = 0; written < count; written += 8, out += 8)
        for (std::size_t i = 0; i < 8; ++i, cells &= cells - 1)
            out[i] = offset + static_cast<std::uint32_t>(std::countr_zero(cells | kLastBit));
    cell_count_ += count;
}

}  // namespace revwright::csv
