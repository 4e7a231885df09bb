#pragma once

#include <vector>

#include "review/derived.h"
#include "review/lambda_lag.h"

namespace revwright {

/// The part of one pull that the fit looks at.
struct LagSegment {
    std::vector<double> times, lambda, flow;
    Samples target;
    double movement = 0.0;  // of the target, highest less lowest
};

/// Delay and lag that explain the segments best, by variable projection: offset of each segment and one gain are linear
/// and solved exactly, delay, lag and the share of the delay that goes with 1 / flow are searched on a grid and
/// refined. The prior's total enters as a weak observation, since offset, delay and lag are not always separable.
LambdaLag fit_lag(std::span<const LagSegment> segments, double mid_flow, const LambdaLag& prior);

}  // namespace revwright
