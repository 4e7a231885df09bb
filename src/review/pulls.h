#pragma once

#include <cstddef>
#include <vector>

#include "model/job.h"
#include "model/log.h"
#include "model/review.h"

namespace revwright {

// What makes a stretch a pull. The contract leaves these numbers open; they are our choice, common practice, no source.
inline constexpr double kFullPedalPct = 95.0;      // at or above: full pedal
inline constexpr double kPartPedalPct = 60.0;      // from here to full pedal an acceleration is a refused pull
inline constexpr double kLeastPullSeconds = 1.5;   // long enough
inline constexpr double kLeastPullWidthRpm = 800;  // wide enough
inline constexpr double kFilledShare = 0.7;        // of the pull's highest charge: from here the mixture is full load's
inline constexpr double kLeastHoldSeconds = 2.0;   // of a settled point on a brake dynamometer
inline constexpr double kHoldShare = 0.015;        // engine speed stays within this share of itself, and ...
inline constexpr double kHoldRpm = 40.0;           // ... this much at least
inline constexpr double kColdOilC = 80.0;          // a pull from here up, by the contract

struct PullSearch {
    std::vector<Pull> pulls;  // in order of time; Pull::index counts within this log
    std::vector<Excluded> excluded;
};

/// The full-load pulls of one log, and every acceleration that looks like one but is not, with its reason.
///
/// Needs engine speed and pedal (or throttle where no pedal is logged); without them it finds nothing.
/// Times are on the log's own clock. Linear in the samples.
/// place   on a dynamometer wheels are not held against satellite speed; on a brake dynamometer full pedal at one
/// engine
///         speed for kLeastHoldSeconds is a hold, and what leads from one hold to the next is no pull unless it is long
///         and wide enough for one
PullSearch find_pulls(const Log& log, const JobSheet& job, std::size_t log_index, RunPlace place = RunPlace::road);

}  // namespace revwright
