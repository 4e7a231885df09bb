#pragma once

#include <string>
#include <string_view>

#include "core/error.h"

namespace revwright::a2l {

/// Where an included file lies, as a path from the folder of the description with "/" between folders: what `written`
/// says, from the folder of the file that includes it. `including` is such a path too, empty for the description.
/// Errors: bad_input for an empty path, one that is absolute, names a drive or another machine, holds a
/// colon or a control character, or leads out of the folder of the description. Links are not known here: the caller
/// that opens the file looks where they lead.
Result<std::string> include_path(std::string_view written, std::string_view including);

}  // namespace revwright::a2l
