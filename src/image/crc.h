#pragma once

#include <cstdint>
#include <span>

namespace revwright {

/// A CRC in the usual parameters: polynomial without its highest term, register at the start (before any reflection),
/// bytes and result reflected or not, value the result is combined with at the end.
///
/// Source: the parametric model of R. N. Williams, [Williams1993]; catalogue values in the test.
struct CrcParameters {
    int width = 32;  // 16 or 32
    std::uint32_t polynomial = 0;
    std::uint32_t initial = 0;
    std::uint32_t final_xor = 0;
    bool reflected = false;
};

/// The CRC of some bytes. Precondition: width 16 or 32, every parameter inside it.
std::uint32_t crc(const CrcParameters& parameters, std::span<const std::uint8_t> bytes);

}  // namespace revwright
