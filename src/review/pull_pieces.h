#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "model/review.h"
#include "review/pull_track.h"

namespace revwright {

/// Samples first..last of a track (both included) in one gear, the speed rising from `first` on.
struct PullPiece {
    std::size_t first = 0, last = 0;
    int gear = 0;                                // 0 = not known
    std::optional<ExclusionReason> cut_by = {};  // what ended it, where the acceleration goes on after that
};

/// Cuts the samples first..last, all under the same pedal, where the gear changes, something slips, the engine speed
/// falls, or the torque request is taken back for a moment.
/// limiter_rpm   speed from which a fall is the speed limiter's work; 0 = not known
std::vector<PullPiece> pieces_of(const PullTrack& track, std::size_t first, std::size_t last, double limiter_rpm);

}  // namespace revwright
