#pragma once

#include <cstdint>

#include "recovery/score.h"

namespace revwright {

/// Drives the example car once and reviews the log, which has gone through CSV. One log in five is clean, every fault
/// of the rig comes in turn in the others, with all kinds of logger, and stretches that look like pulls among the
/// pulls. `nth` picks fault, logger and stretches. Pure.
ScoreCase rig_case(int nth, std::uint64_t seed);

/// The cases 0 .. logs-1, one seed each from `first_seed` on.
Score score_rig(int logs, std::uint64_t first_seed);

}  // namespace revwright
