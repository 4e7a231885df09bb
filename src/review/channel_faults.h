#pragma once

#include <optional>
#include <string>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// Something wrong with how a channel was recorded.
struct ChannelFault {
    enum class Kind { stuck, clipped, slow, gap, spike };
    Kind kind = Kind::stuck;
    const Channel* channel = nullptr;
    std::optional<std::size_t> pull = {};  // index into the run's pulls
    double time_s = 0.0;
    double duration_s = 0.0;
    double value = 0.0;  // stuck, clipped: what it stands at; slow: samples a second; gap: seconds; spike: height
    double limit = 0.0;  // of the same kind
};

/// Faults of the channels that the checks rest on, looked for within the pulls. A channel that need not move is never
/// stuck; a clipped one stands at its highest value.
std::vector<ChannelFault> channel_faults(const RunView& run);

/// Channels that are logged but never move in a drive with pulls, though no check depends on them moving: dead
/// thermocouples and the like. They are noted, not faulted.
std::vector<const Channel*> dead_channels(const RunView& run);

}  // namespace revwright
