#pragma once

#include <vector>

#include "review/checks.h"

namespace revwright {

/// Takes out what another finding of the same pull explains, so that one cause is said once:
///   lambda-follow    where lambda-lean says that the target itself is too lean
///   boost-overshoot  where boost-steady says that boost stays above target, and no less severely
///   boost-overshoot, and a boost-steady of less than a second, where boost-oscillation says no less severely that
///   boost
///                    swings then
///   intake-rise      where intake-temperature says that the air is too hot
/// takes the wastegate from the levers of a boost-steady where it is shut already,
/// and turns lambda-lean to the pump where fuel pressure dropped in that pull: fuel pressure is never cured by lambda.
void keep_one_per_cause(std::vector<Finding>& findings);

}  // namespace revwright
