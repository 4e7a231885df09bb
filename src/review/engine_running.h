#pragma once

#include <vector>

#include "model/log.h"
#include "review/derived.h"

namespace revwright {

/// Below this the engine is standing or being cranked. Our choice: under any idle speed, over any starter.
inline constexpr double kRunsFromRpm = 500.0;

/// When the engine ran by itself.
class RunningTime {
public:
    /// settle   seconds after each start that do not count. A log that begins with the engine running: so many seconds
    ///          of it do not count either, since the start may have been just before.
    RunningTime(const Log& log, double settle);
    bool at(double time_s) const;

private:
    struct Stretch {
        double from, to;
    };
    std::vector<Stretch> stretches_;
};

/// All samples of a channel.
Samples whole_of(const Log& log, const Channel& channel);

}  // namespace revwright
