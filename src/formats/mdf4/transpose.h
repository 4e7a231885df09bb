#pragma once

#include <cstddef>
#include <cstdint>

namespace revwright::mdf4 {

/// Undoes the transposition of a DZ block for `count` of its rows from row `first` on: `turned` holds column after
/// column of `rows` bytes each, `out` gets rows of `columns` bytes. Source: ASAM MDF 4.1, block DZ, zip type 1.
void turn_back(const std::uint8_t* turned, std::size_t rows, std::size_t columns, std::size_t first, std::size_t count,
               std::uint8_t* out);

}  // namespace revwright::mdf4
