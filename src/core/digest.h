#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace revwright {

/// SHA-256 of some bytes. Source: FIPS 180-4; computed by OpenSSL.
struct Digest {
    std::array<std::uint8_t, 32> bytes{};
    friend auto operator<=>(const Digest&, const Digest&) = default;
};

Digest sha256(std::span<const std::uint8_t> bytes);

/// 64 lower-case hexadecimal digits.
std::string to_hex(const Digest& digest);
/// Reads what to_hex writes (either case); nothing else.
std::optional<Digest> digest_from_hex(std::string_view hex);

/// Bytes as lower-case hexadecimal digits.
std::string to_hex(std::span<const std::uint8_t> bytes);

}  // namespace revwright
