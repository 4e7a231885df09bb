#pragma once

#include <optional>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// A fall of the torque request under full pedal that engine speed alone does not explain.
struct RequestFall {
    double from_s = 0.0, to_s = 0.0;  // to_s: given back, or the end of the pull
    double before_nm = 0.0, lowest_nm = 0.0;
    bool given_back = false;
    double fall_nm() const { return before_nm - lowest_nm; }
};

/// The falls of the request within a pull, in order of time; none where the request is not logged. Left out: the first
/// and last moments, where the pedal moves, and the region of the engine's speed limiter.
std::vector<RequestFall> request_falls(const PullView& view);

}  // namespace revwright
