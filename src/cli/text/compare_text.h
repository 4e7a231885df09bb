#pragma once

#include <string>

#include "model/comparison.h"
#include "model/revision.h"

namespace revwright::cli::text {

std::string compare_text(const Comparison& comparison);

/// What a build changed, and the digests.
std::string built_text(const BuiltImage& built, const std::string& out);

}  // namespace revwright::cli::text
