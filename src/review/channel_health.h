#pragma once

#include <optional>
#include <span>
#include <string>

#include "model/log.h"
#include "model/review.h"

namespace revwright {

/// A log whose channels know how they were recorded: refresh rate, resolution, and the quality words that need no pull
/// (`dead`, `not-available`, `impossible`, `negative-pressure`). Samples that are no values are left out: a bus's "not
/// available" code, the reading of an unplugged temperature sensor, a lambda of 0. Faults of the clock that only the
/// samples show are noted beside those the reader saw. Called once, when a log is opened.
Log examine_channels(Log log);

/// The same log with the faults its pulls show: words at the channels (`stuck clipped slow gaps spikes coarse`) and a
/// note for each stretch.
Log note_faults(Log log, std::span<const Pull> pulls);

/// Why nothing can be judged by a channel as a whole ("is 0 in every row ..."); nothing where it can be used.
/// Looks at no more samples than it must.
std::optional<std::string> why_unusable(const Log& log, const Channel& channel);

}  // namespace revwright
