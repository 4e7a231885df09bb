#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace revwright {

/// 0 to 15, either case; nothing for any other character.
std::optional<std::uint8_t> hex_digit(char c);

/// Pairs of hexadecimal digits as bytes; nothing where one is no digit or a pair is half.
std::optional<std::vector<std::uint8_t>> bytes_from_hex(std::string_view digits);

}  // namespace revwright
