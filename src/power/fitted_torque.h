#pragma once

#include <vector>

#include "power/road_fit.h"
#include "power/torque_estimate.h"

namespace revwright {

/// One curve of a fit at these engine speeds, with its covariance.
TorqueEstimate torque_of(const RoadFit& fit, std::size_t curve, std::vector<double> speeds_rpm);

}  // namespace revwright
