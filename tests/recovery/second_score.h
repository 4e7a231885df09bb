#pragma once

#include <cstdint>

#include "recovery/score.h"
#include "recovery/second_generator/second_log.h"

namespace revwright {

/// The setup of the nth log: kinds of car and logger in turn, one log in five clean, and every fault that fits the car
/// in turn in the others.
second::SecondSetup second_setup(int nth, std::uint64_t seed);

/// A log of the second generator, which shares nothing with the rig, through CSV, and its review. Pure.
ScoreCase second_case(const second::SecondSetup& setup);

/// The logs 0 .. logs-1, one seed each from `first_seed` on.
Score score_second(int logs, std::uint64_t first_seed);

}  // namespace revwright
