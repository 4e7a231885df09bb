#pragma once

#include <span>

#include "model/power.h"
#include "review/run_view.h"

namespace revwright {

/// Fills in the air of the runs, both standards' factors for it, and which of them the figures are corrected to.
///
/// None for a turbocharged engine: its boost control makes up for the ambient air ([UNR85], supplement 7, the rule read
/// in its summary only). None where the air is not known, or where ISO 1585 does not stand for its own factor. Else
/// ISO 1585.
void decide_correction(const JobSheet& job, std::span<const RunView* const> runs, PowerSet& set);

}  // namespace revwright
