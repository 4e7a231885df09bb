#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/error.h"

namespace revwright::a2l {

/// The text in UTF-8 where the bytes are anything else: UTF-16 (with a byte order mark, or told by the zero bytes of
/// its first characters) or Latin-1, which is what text is that is no UTF-8. Nothing where the bytes can be read as
/// they are; a byte order mark in front of them is white space to the lexer. Errors: bad_input with the byte for half a
/// UTF-16 character, and for a zero character, which no text holds.
Result<std::optional<std::string>> utf8_of(std::string_view bytes, const std::string& file);

}  // namespace revwright::a2l
