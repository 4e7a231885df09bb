#include "image/stored_number.h"

#include <bit>
#include <cmath>
#include <limits>

namespace revwright {
namespace {

/// IEEE 754 binary16: 1 sign, 5 exponent, 10 fraction bits.
double half(std::uint64_t bits) {
    const double sign = (bits & 0x8000U) != 0 ? -1.0 : 1.0;
    const int exponent = static_cast<int>((bits >> 10U) & 0x1FU);
    const double fraction = static_cast<double>(bits & 0x3FFU);
    if (exponent == 0) return sign * std::ldexp(fraction, -24);
    if (exponent < 31) return sign * std::ldexp(1024.0 + fraction, exponent - 25);
    return fraction == 0.0 ? sign * std::numeric_limits<double>::infinity() : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

std::uint64_t stored_bits(std::span<const std::uint8_t> bytes, ByteOrder order) {
    std::uint64_t bits = 0;
    for (std::size_t i = 0; i < bytes.size(); ++i)
        bits = bits << 8U | bytes[order == ByteOrder::big ? i : bytes.size() - 1 - i];
    return bits;
}

double stored_number(std::uint64_t bits, StoredType type) {
    switch (type) {
        case StoredType::u8:
        case StoredType::u16:
        case StoredType::u32:
        case StoredType::u64:
            return static_cast<double>(bits);
        case StoredType::i8:
            return static_cast<std::int8_t>(bits);
        case StoredType::i16:
            return static_cast<std::int16_t>(bits);
        case StoredType::i32:
            return static_cast<std::int32_t>(bits);
        case StoredType::i64:
            return static_cast<double>(static_cast<std::int64_t>(bits));
        case StoredType::f16:
            return half(bits);
        case StoredType::f32:
            return std::bit_cast<float>(static_cast<std::uint32_t>(bits));
        case StoredType::f64:
            return std::bit_cast<double>(bits);
    }
    return 0.0;
}

std::optional<RawType> raw_type(StoredType type) {
    switch (type) {
        case StoredType::u8:
            return RawType::u8;
        case StoredType::i8:
            return RawType::i8;
        case StoredType::u16:
            return RawType::u16;
        case StoredType::i16:
            return RawType::i16;
        case StoredType::u32:
            return RawType::u32;
        case StoredType::i32:
            return RawType::i32;
        case StoredType::f32:
            return RawType::f32;
        case StoredType::u64:
        case StoredType::i64:
        case StoredType::f16:
        case StoredType::f64:
            return std::nullopt;
    }
    return std::nullopt;
}

}  // namespace revwright
