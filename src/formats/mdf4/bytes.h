#pragma once

#include <bit>
#include <cstdint>
#include <cstring>

namespace revwright::mdf4 {

static_assert(std::endian::native == std::endian::little, "block fields are read as they lie in the file");

/// The number at `from`, least significant byte first, as all numbers of MDF 4 blocks are. No alignment is needed.
template <class T>
T load(const std::uint8_t* from) {
    T value;
    std::memcpy(&value, from, sizeof(T));
    return value;
}

}  // namespace revwright::mdf4
