#pragma once

#include <optional>

#include "model/power.h"
#include "power/road_fit.h"
#include "power/torque_estimate.h"

namespace revwright {

/// Two curves of one fit, which share the car's and the road's errors.
struct CurvePair {
    std::size_t from = 0, to = 0;  // curves of the fit
    const TorqueEstimate* from_torque = nullptr;
    const TorqueEstimate* to_torque = nullptr;
    PowerPeak from_power = {}, to_power = {}, from_peak_torque = {}, to_peak_torque = {};  // uncorrected
};

/// What the second curve gains on the first over the speeds that both cover, and at the peaks; nothing where they have
/// no speed in common.
std::optional<PowerDifference> difference_of(const RoadFit& fit, const CurvePair& pair);

}  // namespace revwright
