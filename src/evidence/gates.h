#pragma once

#include <vector>

#include "model/job.h"
#include "model/log.h"
#include "model/review.h"

namespace revwright {

/// A stretch of time, both ends included.
struct Stretch {
    double start_s = 0.0, end_s = 0.0;
};

/// Where a knock sensor hears more than knock: half a second around shifts and around the speed limiter. In order.
/// Source: METHODS 1.3 of the design notes (common practice).
std::vector<Stretch> gated_stretches(const Log& log, std::size_t log_index, const Review& review, const Engine& engine);

bool inside(const std::vector<Stretch>& stretches, double t);

/// The parts of [start, end] that no stretch covers, in order.
std::vector<Stretch> open_parts(double start_s, double end_s, const std::vector<Stretch>& gated);

}  // namespace revwright
