#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "model/parameter.h"

namespace revwright {

constexpr bool is_float(StoredType type) {
    return type == StoredType::f16 || type == StoredType::f32 || type == StoredType::f64;
}

/// The bits that lie in `bytes`, exactly size_of(type) of them.
std::uint64_t stored_bits(std::span<const std::uint8_t> bytes, ByteOrder order);

/// The number they stand for: two's complement, IEEE 754 half, single, double. 64-bit integers are rounded to a double.
double stored_number(std::uint64_t bits, StoredType type);

/// The type a table of ours would name it by; nothing for 64 bits and for half precision, which tables do not hold.
std::optional<RawType> raw_type(StoredType type);

}  // namespace revwright
