#pragma once

#include <string>

#include "model/power.h"

namespace revwright::wire {

/// "revwright.power/1". The top level speaks of the last set; earlier ones follow under `other_sets`.
std::string power_json(const PowerReport& report);

}  // namespace revwright::wire
