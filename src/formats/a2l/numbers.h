#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace revwright::a2l {

/// A finite number, decimal ("-3.5e2") or hexadecimal ("0x1F"); nothing for any other word.
std::optional<double> number_of(std::string_view word);

/// A number from 0 to 2^64 - 1 without a fraction: "16", "0x10", and "16.0" as some tools write it.
std::optional<std::uint64_t> whole_of(std::string_view word);

}  // namespace revwright::a2l
