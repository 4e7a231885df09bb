#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/error.h"

namespace revwright::sheets {

/// What a TOML text may not have because the parser cannot bear it, though the standard allows it: more than 1 MiB, a
/// key of more than 32 parts (tables are taken down by recursion), more than 20,000 dots in keys (the parser looks for
/// each table among all earlier ones made by a dotted key, in quadratic time).
std::optional<Error> check_structure(std::string_view text, const std::string& file);

}  // namespace revwright::sheets
