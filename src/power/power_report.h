#pragma once

#include <span>

#include "model/power.h"
#include "review/run_view.h"

namespace revwright {

/// Power and torque of every image the runs were driven with, by every method that the logs can carry, and what lies
/// between the images. A method that cannot say anything is refused with its reason, never left out in silence.
///
/// Pure. runs: as view_runs gives them; what they point at outlives the call.
PowerReport power_report(const JobSheet& job, std::span<const RunView> runs);

/// Whether road or dynamometer carry a figure for the last set. What the car says of itself alone is no measurement.
bool measured_power(const PowerReport& report);

}  // namespace revwright
