#pragma once

#include <vector>

#include "review/channel_fault.h"
#include "review/run_view.h"

namespace revwright {

/// Faults of the channels that the checks rest on, looked for within the pulls; what several channels show over the
/// same stretch is one fault. A channel that need not move is never stuck; a clipped one stands at its highest value.
std::vector<ChannelFault> channel_faults(const RunView& run);

/// Whether the drive holds idle, full pedal and more than its pulls: what a pedal moves must have moved in it.
bool is_whole_drive(const RunView& run);

/// The least rate the checks ask of a channel, samples a second; 0 = none is asked.
double least_rate_hz(Signal signal);

}  // namespace revwright
