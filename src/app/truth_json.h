#pragma once

#include <string>

#include "rig/drive.h"

namespace revwright::app {

/// "revwright.rig-truth/1": what really happened in a simulated run. For people and tests, not for the review.
std::string truth_json(const rig::Truth& truth, const std::string& log);

}  // namespace revwright::app
