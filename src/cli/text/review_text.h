#pragma once

#include <string>

#include "model/log.h"
#include "model/review.h"

namespace revwright::cli::text {

/// The verdict in one sentence, the pulls, the findings worst first, and what could not be checked.
std::string review_text(const Review& review, bool all);

/// Channels, quality and pulls of one log.
std::string inspect_text(const Log& log, const std::vector<Pull>& pulls, const std::vector<Excluded>& excluded);

}  // namespace revwright::cli::text
