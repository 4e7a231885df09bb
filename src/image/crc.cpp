#include "image/crc.h"

#include <array>
#include <cassert>

namespace revwright {
namespace {

using ByteTable = std::array<std::uint32_t, 256>;

std::uint32_t mirrored(std::uint32_t value, int width) {
    std::uint32_t out = 0;
    for (int i = 0; i < width; ++i) out |= (value >> i & 1u) << (width - 1 - i);
    return out;
}

/// One step of eight bits for each byte, lowest bit first.
ByteTable reflected_table(std::uint32_t mirrored_polynomial) {
    ByteTable table{};
    for (std::uint32_t byte = 0; byte < 256; ++byte) {
        std::uint32_t value = byte;
        for (int bit = 0; bit < 8; ++bit) value = value >> 1 ^ ((value & 1u) != 0 ? mirrored_polynomial : 0u);
        table[byte] = value;
    }
    return table;
}

/// The same, highest bit first; the register sits at the top of 32 bits whatever its width.
ByteTable straight_table(std::uint32_t top_polynomial) {
    ByteTable table{};
    for (std::uint32_t byte = 0; byte < 256; ++byte) {
        std::uint32_t value = byte << 24;
        for (int bit = 0; bit < 8; ++bit) value = value << 1 ^ ((value >> 31) != 0 ? top_polynomial : 0u);
        table[byte] = value;
    }
    return table;
}

}  // namespace

std::uint32_t crc(const CrcParameters& parameters, std::span<const std::uint8_t> bytes) {
    const int width = parameters.width;
    assert(width == 16 || width == 32);
    std::uint32_t value = 0;
    if (parameters.reflected) {
        const ByteTable table = reflected_table(mirrored(parameters.polynomial, width));
        value = mirrored(parameters.initial, width);
        for (const std::uint8_t byte : bytes) value = value >> 8 ^ table[(value ^ byte) & 0xFFu];
    } else {
        const int shift = 32 - width;
        const ByteTable table = straight_table(parameters.polynomial << shift);
        value = parameters.initial << shift;
        for (const std::uint8_t byte : bytes) value = value << 8 ^ table[value >> 24 ^ byte];
        value >>= shift;
    }
    return value ^ parameters.final_xor;
}

}  // namespace revwright
