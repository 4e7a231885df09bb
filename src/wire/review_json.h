#pragma once

#include <string>

#include "model/log.h"
#include "model/review.h"

namespace revwright::wire {

/// "revwright.review/1". `all` lists the clear findings too.
std::string review_json(const Review& review, bool all);

/// "revwright.inspect/1": the channels as found, and the pulls in them.
std::string inspect_json(const Log& log, const std::vector<Pull>& pulls, const std::vector<Excluded>& excluded);

}  // namespace revwright::wire
