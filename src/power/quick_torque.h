#pragma once

#include <cstddef>
#include <vector>

#include "model/power.h"
#include "power/road_drive.h"

namespace revwright {

/// Torque over engine speed of one pull from its smoothed acceleration: a picture to look at, not a measurement. Taken
/// from the engine speed, or where that is missing from the road speed.
///
/// Mass, radius, resistance, slope and wind are taken as they are told, so that the standard deviation is only what the
/// noise of this pull's samples leaves open. Rising engine speeds only: where the smoothed speed stands or falls the
/// point is left out. Empty for fewer than eight samples.
std::vector<TorqueCurvePoint> quick_torque(const RoadDrive& drive, std::size_t pull);

}  // namespace revwright
