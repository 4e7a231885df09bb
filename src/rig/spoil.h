#pragma once

#include <vector>

#include "model/log.h"
#include "rig/faults.h"

namespace revwright::rig {

/// Faults of the recording itself: a stuck channel, missing rows, a sensor that drops out or ends too low, a bad clock.
/// Where the clock steps, the truth is told on it as well.
void spoil_log(const PlantedFaults& faults, Log& log, Truth& truth);

}  // namespace revwright::rig
