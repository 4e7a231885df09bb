#pragma once

#include <optional>
#include <vector>

#include "review/derived.h"
#include "review/run_view.h"

namespace revwright {

/// So near to its target boost has reached it, kPa. Our choice, common practice, no source.
inline constexpr double kReachedKpa = 3.0;

/// Boost less target in a pull, and when the build-up ended. Empty where the target is not logged.
struct BoostError {
    Samples error = {};                        // kPa, single wild samples left out
    std::vector<double> target = {};           // at the same times
    std::optional<std::size_t> reached = {};   // first sample at target
    std::optional<std::size_t> built_up = {};  // the same, or where the pressure stops climbing short of it
};
BoostError boost_error(const PullView& view);

/// Times at which the throttle holds the charge back, or has done so just before: boost is not the wastegate's alone.
std::vector<bool> throttled_at(const PullView& view, const std::vector<double>& times);

}  // namespace revwright
