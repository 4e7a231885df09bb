#pragma once

#include <string>

#include "model/log.h"
#include "model/review.h"

namespace revwright::cli::text {

/// The verdict in one sentence, the pulls, the findings worst first, and what could not be checked.
std::string review_text(const Review& review, bool all);

/// "stop: do not drive this revision again ..." as a review opens.
std::string verdict(const Review& review);

/// Channels, quality and pulls of one log.
std::string inspect_text(const Log& log, const std::vector<Pull>& pulls, const std::vector<Excluded>& excluded);

}  // namespace revwright::cli::text
