#pragma once

#include <vector>

#include "recovery/score.h"
#include "recovery/second_generator/car.h"
#include "recovery/second_generator/instant.h"

namespace revwright::second {

/// What a fault asks of the driver.
struct DriveWish {
    bool cold_engine = false;     // the log begins with a cold engine
    bool one_short_pull = false;  // and nothing more
    bool on_the_limiter = false;  // every pull stays on the speed limiter for a while
    bool slow_shift = false;
};

/// How the car was driven, and which of it are pulls.
struct DrivenPath {
    std::vector<Instant> instants;  // only the fields "how it is driven" are set
    std::vector<DrivenPull> pulls;
    std::vector<DrivenStretch> stretches;
    double slowest_climb_s = 0.0;  // seconds a thousand revolutions take in a pull, on the whole
};

DrivenPath drive_path(const TraceCar& car, std::uint64_t seed, const DriveWish& wish);

}  // namespace revwright::second
