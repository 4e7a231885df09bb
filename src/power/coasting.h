#pragma once

#include <vector>

#include "model/power.h"
#include "power/road_drive.h"
#include "review/run_view.h"

namespace revwright {

/// A stretch of a log in which the car rolled in neutral, and nothing but the road slowed it.
struct CoastStretch {
    PowerCoast what = {};
    SpeedSamples speed_m_per_s = {};
    std::optional<double> heading_deg = {};
};

// What makes a stretch one; our choice, common practice, no source.
inline constexpr double kLeastCoastSeconds = 8.0;
inline constexpr double kLeastCoastDrop = 5.0;  // m/s
inline constexpr double kSlowestCoast = 4.0;    // m/s; below, the last metres say more of the driver's foot
inline constexpr double kNeutralShare = 0.8;    // of the engine speed that the tallest gear would need: below it
                                                // no gear is engaged

/// The coasting stretches of a run on the road, in order of time, each named by its way as pulls are.
///
/// Neutral is told by an engine that turns slower than any gear would have it; a gear that is logged and is not 0
/// denies it. A stretch ends where the car gets faster or slows by more than the road can account for: a foot on the
/// brake. Needs engine speed and a road speed, from a satellite receiver if there is one; without them it finds
/// nothing.
std::vector<CoastStretch> coasting_of(const RunView& run);

}  // namespace revwright
