#pragma once

#include <string>
#include <string_view>

#include "core/digest.h"
#include "core/error.h"

namespace revwright::book {

/// Bytes as the book keeps them: the SHA-256 of what follows, then Zstandard's frame [RFC8878]. No byte of it can
/// change unnoticed.
std::string pack(std::string_view bytes);

/// Errors (Fault::io): what is packed was altered, cut short, or is not what `digest` says.
Result<std::string> unpack(std::string_view packed, const Digest& digest);

}  // namespace revwright::book
