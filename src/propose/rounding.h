#pragma once

#include <string>
#include <vector>

#include "propose/limits.h"
#include "propose/programme.h"

namespace revwright {

/// New values of one table, exactly what the image can hold: factor x raw + offset with a raw number of its type.
/// Rounded to the safe side (down: less spark, richer, less boost); a change smaller than one count is none. Where
/// rounding opened a cliff or left a follower above its leader, the higher cell goes down until it is closed.
std::vector<double> rounded_values(const TableSituation& table, const TableLimits& limits, const Changes& changes);

/// Nothing, or which cell passes a bound toward risk: a fault of ours that must not reach a car.
std::optional<std::string> broken_bound(const TableSituation& table, const TableLimits& limits,
                                        const std::vector<double>& values);

}  // namespace revwright
