#pragma once

#include <vector>

#include "model/power.h"
#include "power/road_drive.h"
#include "power/road_fit.h"

namespace revwright {

/// What keeps the road's figure at one speed from being known better, and what measuring each of these as well as a
/// workshop can would leave of its interval. Most helpful first.
///
/// A measurement is taken into the fit's covariance as one more observation (Kalman's update); for a second round of
/// pulls the part that noise and the pulls' own effects have in it is halved.
/// half_width_kw   of the 95 % interval that the figure has now
std::vector<PowerRemedy> remedies_of(const RoadDrive& drive, const RoadFit& fit, std::size_t curve,
                                     double engine_speed_rpm, double half_width_kw);

}  // namespace revwright
