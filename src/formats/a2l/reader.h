#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "core/error.h"
#include "model/parameter.h"

namespace revwright::a2l {

/// Gives the bytes of an included file. `path` leads from the folder of the description, with "/" between folders, and
/// never out of it (include_path.h); where links lead is for the one who opens the file.
using IncludeReader = std::function<Result<std::string>(const std::string& path)>;

/// Reads a data description: ASAM MCD-2 MC ("A2L") 1.4 to 1.7, in UTF-8, Latin-1 or UTF-16. What is understood is in
/// docs/formats/a2l.md; whatever is not understood for certain is said in the `why_not` of the parameter, its layout or
/// its conversion, or in the notes, each with its place, and reading goes on. An included file that cannot be had is a
/// note. Errors: bad_input for what makes the file unusable, the first few with their places: text that is none, no
/// PROJECT or MODULE, a block, comment or quote that is never closed, blocks nested beyond 200.
Result<ParameterSet> read(std::string_view text, const std::string& file, const IncludeReader& include);

}  // namespace revwright::a2l
