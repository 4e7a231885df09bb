#pragma once

#include <vector>

#include "model/log.h"

namespace revwright {

/// Faults of the clock that only the samples show; repeated and reversed stamps are the reader's business.
///   clock-jump    the time leaps while engine speed goes on as if one row had passed
///   rate-change   from some moment on rows come at another rate
///   clock-drift   two time bases move apart: what belongs together is seen with a growing delay
std::vector<QualityNote> clock_faults(const Log& log);

}  // namespace revwright
