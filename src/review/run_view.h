#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "model/driven.h"
#include "model/job.h"
#include "model/review.h"
#include "review/channel_fault.h"
#include "review/derived.h"
#include "review/lambda_lag.h"

namespace revwright {

/// Where a figure of the air around the car comes from, best first.
enum class AmbientSource { logged, stated, altitude, assumed };

struct Ambient {
    double value = 0.0;
    AmbientSource source = AmbientSource::assumed;
    /// From the log or the job sheet's [[run]]; false: worked out from the site's altitude, or sea level.
    bool known() const { return source == AmbientSource::logged || source == AmbientSource::stated; }
};

/// One log as the checks see it. Everything pointed at outlives it.
struct RunView {
    const JobSheet* job = nullptr;
    DrivenLog driven;
    std::size_t index = 0;         // of the log in the review
    std::vector<Pull> pulls = {};  // numbered over all logs
    std::vector<Excluded> excluded = {};
    LambdaLag lag = {};
    std::vector<const Channel*> distrusted = {};  // dead ones: the engine is not judged by them
    std::vector<ChannelFault> faults = {};        // how its channels were recorded: log-quality and sensor-range
    std::shared_ptr<const Log> masked = {};       // what `driven` holds where faulty stretches were blanked

    const Log& log() const { return *driven.log; }
    /// The channel, if it is logged, has samples, and is trusted.
    const Channel* find(ChannelKey key) const;
    const Channel* find(Signal signal) const { return find(ChannelKey{signal, 0}); }
    /// All trusted channels of a signal: without suffix, and every bank or cylinder.
    std::vector<const Channel*> all(Signal signal) const;
    /// Outside air of this run: the median of the log's channel, else what its [[run]] states, else nothing.
    std::optional<Ambient> ambient_temp_c() const;
    /// The same for pressure, absolute; else the standard atmosphere at the site's altitude (`altitude`), where the
    /// sheet gives none 101.325 kPa (`assumed`).
    Ambient ambient_pressure_kpa() const;
};

struct PullView {
    const RunView* run = nullptr;
    Pull pull;

    const JobSheet& job() const { return *run->job; }
    /// Samples within the pull, moved out or in at its ends by so many seconds (positive = inward); empty where the
    /// channel is not there.
    Samples samples(Signal signal, double skip_start = 0.0, double skip_end = 0.0) const;
    Samples samples(const Channel& channel, double skip_start = 0.0, double skip_end = 0.0) const;
    /// Boost before the throttle; manifold pressure where only that is logged and the throttle is open.
    Samples boost(double skip_start = 0.0) const;
    double engine_speed_at(double time_s) const;
};

}  // namespace revwright
