#pragma once

#include <span>
#include <vector>

#include "review/lambda_lag.h"

namespace revwright {

/// What a probe with this delay and lag shows at `times` if the mixture is `target` (no blanks in it).
///
/// flow  at each time, in the unit of lag.mid_flow; NaN = mid flow
/// The target is linear between its samples and constant before the first one; the lag is solved exactly for a target
/// that is linear between two `times`: y1 = u1 - r tau + (y0 - u0 + r tau) exp(-dt / tau), r = (u1 - u0) / dt.
/// It starts settled, and again after a hole of more than 2 s. NaN after the last sample of the target.
std::vector<double> probe_response(const Series& target, std::span<const double> times, std::span<const double> flow,
                                   const LambdaLag& lag);

}  // namespace revwright
