#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/error.h"

namespace revwright::csv {

enum class Utf16 { little_endian, big_endian };

/// Which UTF-16 the bytes are: told by the byte order mark, else by where the zero bytes of the first characters lie.
/// Nothing for any other text.
std::optional<Utf16> utf16_order(std::string_view bytes);

/// The same text in UTF-8, without a byte order mark.
/// Errors: bad_input with the byte for half a character, half of a surrogate pair, or a zero character.
Result<std::string> utf8_of_utf16(std::string_view bytes, Utf16 order, const std::string& file);

}  // namespace revwright::csv
