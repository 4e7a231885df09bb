#pragma once

#include <vector>

#include "rig/drive.h"
#include "rig/moment.h"

namespace revwright::rig {

/// Shortest and narrowest full-load stretch that counts as a pull; the same numbers for planted and for normal ones.
inline constexpr double kPullSeconds = 1.5;
inline constexpr double kPullSpan = 800.0;  // rpm
inline constexpr double kWarmOil = 80.0;    // C

/// Pulls and excluded stretches from the true state at the log's own times.
void label_pulls(const std::vector<Moment>& moments, Truth& truth);
/// Torque and borderline over engine speed, means over the pulls.
void draw_curves(const std::vector<Moment>& moments, Truth& truth);

}  // namespace revwright::rig
