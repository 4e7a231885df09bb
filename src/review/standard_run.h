#pragma once

#include <span>
#include <string>
#include <vector>

#include "model/review.h"
#include "review/run_view.h"

namespace revwright {

/// Says what changed since the standard car's run (DrivenLog::standard), in the text and Finding::standard_value.
///
/// A finding of a later run is set against the standard run in the same kind of place: first against what the same
/// check found within 250 rpm, else against what its channel showed there. `findings` still holds the clear ones of
/// every pull. A stop or mend of the standard run itself is the car's health, and is said so. Findings of the log
/// (log-quality, coverage, image-mismatch ..) are left as they are.
void compare_with_standard(std::span<const RunView> runs, std::vector<Finding>& findings);

/// One note for each standard run that was not healthy, with the checks that say so.
std::vector<std::string> health_notes(std::span<const RunView> runs, std::span<const Finding> findings);

}  // namespace revwright
