#pragma once

#include <span>

#include "core/error.h"
#include "model/power.h"
#include "power/torque_estimate.h"

namespace revwright {

struct NamedEstimate {
    PowerMethod method = PowerMethod::road_load;
    TorqueEstimate estimate = {};
};

struct Combination {
    TorqueEstimate estimate = {};
    PowerAgreement agreement = {};
};

/// One curve from several methods, by generalised least squares: at every speed each method counts by the covariance
/// between them there, in which errors that two methods share count as shared. No method counts negatively: with large
/// errors in common that would put the answer outside of what any method says.
///
/// The curve covers the speeds of the road or a dynamometer where one is there, else of the first method. Whether the
/// methods agree is judged by their mean level and tilt over the speeds that all cover; where they do not, the
/// covariance grows by the square of the Birge ratio. Source: [Birge1932] (from memory).
/// Errors: nothing to combine.
Result<Combination> combine(std::span<const NamedEstimate> methods);

}  // namespace revwright
