#pragma once

#include <span>

#include "model/driven.h"
#include "model/job.h"
#include "model/review.h"

namespace revwright {

/// Finds the pulls of every log and judges each against every check (see checks.h).
///
/// Findings come worst first: stop, mend, watch, then clear ones (one per check that ran), within a severity by margin
/// relative to the limit. Pull::index counts over all logs, Pull::log is the index into `logs`.
Review review(const JobSheet& job, std::span<const DrivenLog> logs);

}  // namespace revwright
