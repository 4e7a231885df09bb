#pragma once

#include <span>
#include <vector>

#include "model/job.h"
#include "model/log.h"

namespace revwright {

/// Engine speed over road speed may leave the gear's ratio by this much and the gear is still in mesh. Our choice:
/// above the rounding and lag of a logged road speed, below half the step between two gears.
inline constexpr double kGearTolerance = 0.05;

struct GearTrack {
    std::vector<int> gear;     // counted from 1; 0 = none in mesh, or not known
    std::vector<double> slip;  // engine speed over what road speed says in that gear, less 1; NaN = not known
    bool known = false;        // a gear channel or a road speed is there
};

/// The gear at each time: from the gear channel, else from the ratio of engine to road speed. Tyre wear and speedometer
/// are taken out first: `loaded` marks the samples whose median ratio sets the scale.
GearTrack gears_along(const Log& log, const Car& car, std::span<const double> times, std::span<const double> speed,
                      const std::vector<bool>& loaded);

}  // namespace revwright
