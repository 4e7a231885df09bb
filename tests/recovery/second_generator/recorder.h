#pragma once

#include <cstdint>
#include <set>
#include <string_view>
#include <vector>

#include "model/log.h"
#include "recovery/second_generator/car.h"
#include "recovery/second_generator/instant.h"

namespace revwright::second {

/// How loggers of this generator write.
enum class Recorder {
    even_10hz,      // all channels in every row
    jittered_20hz,  // rows come late and early, and a few not at all
    held_25hz,      // slow channels are repeated in the rows between
    groups,         // one time column per group of channels: 20, 10 and 2 Hz
    few_50hz,       // fast, and little more than what must be there
};
inline constexpr int kRecorders = 5;
std::string_view to_string(Recorder recorder);

/// What a logger does to the traces: its channels, their noise, resolution and rate. `needed` channels are there in any
/// case; of the others some are missing by chance.
Log record(const std::vector<Instant>& instants, const TraceCar& car, Recorder recorder, std::uint64_t seed,
           const std::set<Signal>& needed);

}  // namespace revwright::second
