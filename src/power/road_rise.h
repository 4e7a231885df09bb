#pragma once

#include <optional>
#include <span>
#include <string>

#include "review/run_view.h"

namespace revwright {

/// Slope of the road along a pull, positive uphill, from the altitude logged and the way driven; nothing where either
/// is not logged, or where the altitude rises too little to tell it from a receiver's drift.
std::optional<double> rise_along(const PullView& view);

/// A sentence where some pull climbs or falls so much that torque cannot be told without the slope, and no [[run]]
/// states one; empty otherwise.
std::string unknown_rise(std::span<const RunView* const> runs, std::span<const Pull> pulls);

}  // namespace revwright
