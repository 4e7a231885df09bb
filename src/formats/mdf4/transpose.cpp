#include "formats/mdf4/transpose.h"

#include <array>
#include <cstring>
#include <utility>

namespace revwright::mdf4 {
namespace {

/// Swaps what `Mask` names of b with what lies `Bits` higher in a.
template <unsigned Bits, std::uint64_t Mask>
void exchange(std::uint64_t& a, std::uint64_t& b) {
    const std::uint64_t other = ((a >> Bits) ^ b) & Mask;
    b ^= other;
    a ^= other << Bits;
}

/// Eight columns of eight bytes to eight rows: halves, quarters, then bytes change places.
void turn_square(std::array<std::uint64_t, 8>& w) {
    for (std::size_t i = 0; i < 4; ++i) exchange<32, 0x00000000FFFFFFFFu>(w[i], w[i + 4]);
    for (const std::size_t i : {0u, 1u, 4u, 5u}) exchange<16, 0x0000FFFF0000FFFFu>(w[i], w[i + 2]);
    for (const std::size_t i : {0u, 2u, 4u, 6u}) exchange<8, 0x00FF00FF00FF00FFu>(w[i], w[i + 1]);
}

}  // namespace

void turn_back(const std::uint8_t* turned, std::size_t rows, std::size_t columns, std::size_t first, std::size_t count,
               std::uint8_t* out) {
    const std::size_t whole_rows = count / 8 * 8, whole_columns = columns / 8 * 8;
    std::array<std::uint64_t, 8> square;
    for (std::size_t c = 0; c < whole_columns; c += 8)
        for (std::size_t r = 0; r < whole_rows; r += 8) {
            for (std::size_t i = 0; i < 8; ++i) std::memcpy(&square[i], turned + (c + i) * rows + first + r, 8);
            turn_square(square);
            for (std::size_t i = 0; i < 8; ++i) std::memcpy(out + (r + i) * columns + c, &square[i], 8);
        }
    for (std::size_t c = 0; c < columns; ++c)
        for (std::size_t r = c < whole_columns ? whole_rows : 0; r < count; ++r)
            out[r * columns + c] = turned[c * rows + first + r];
}

}  // namespace revwright::mdf4
