#pragma once

#include <optional>
#include <span>

#include "physics/vehicle.h"

namespace revwright {

/// How long a car coasts from one speed down to a lower one on the level in still air: the integral of m dv / F(v).
///
/// effective  mass and what turns with the wheels      F = a + b v + c v^2, b may be negative
/// Without b the integral is known, m / sqrt(a c) * (atan(k v1) - atan(k v2)) with k = sqrt(c / a); else it is summed.
/// Source: [CFR86.529-98].
/// Nothing where the resistance is not above zero all the way: the car would never get there.
/// Precondition: from >= to > 0, or to = 0 with a above 0.
std::optional<Duration> coast_time(Mass effective, const RoadLoad& load, Speed from, Speed to);

/// How sure the mean of repeated coasting times is, in percent of it: p = t s / (sqrt(n) T) * 100.
///
/// pair_times  each the mean of one drive there and one back over the same two speeds
/// T, s        mean and standard deviation of them        t  as tabled, 3.2 for four pairs down to 2.2
/// A test is good from p <= 2 %. Source: [70/220/EEC] Annex III. Nothing for fewer than the four pairs it asks for.
std::optional<double> statistical_accuracy_pct(std::span<const Duration> pair_times);

}  // namespace revwright
