#pragma once

#include <vector>

#include "core/error.h"
#include "propose/limits.h"
#include "propose/situation.h"

namespace revwright {

/// Changes of one table, physical, one per cell.
using Changes = std::vector<double>;

/// The changes of most predicted torque less roughness within the limits, all tables in one quadratic programme.
Result<std::vector<Changes>> best_changes(const Situation& situation, const std::vector<TableLimits>& limits);

}  // namespace revwright
