#pragma once

#include <vector>

#include "model/log.h"
#include "rig/faults.h"

namespace revwright::rig {

/// Faults of the recording itself: a stuck channel, missing rows, a sensor that drops out or ends too low, a bad clock.
void spoil_log(const PlantedFaults& faults, const std::vector<TruthPull>& pulls, Log& log);

}  // namespace revwright::rig
