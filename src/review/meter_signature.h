#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/job.h"
#include "review/run_view.h"

namespace revwright {

/// Meter over speed-density, 1 = they agree.
struct MeterShares {
    std::vector<double> full = {};    // through a pull, in order of time
    std::optional<double> part = {};  // at part load; nothing where that cannot be told
    bool known = false;               // the volumetric efficiency is the standard run's, not a usual figure
};

/// What a difference looks like, and what may cure it.
struct MeterSignature {
    std::string text;
    std::vector<std::string> levers;
};

/// The first of these that fits, else that none does:
///   the same share at all speeds, near the area ratio of an air meter the sheet says was not rescaled
///   more under boost, right at part load: air is lost between meter and engine
///   less at little flow than at much: air comes in behind the meter
///   the same share at all speeds: the meter's scale
MeterSignature signature_of(const MeterShares& shares, const std::vector<Hardware>& hardware);

/// Median filling where the engine runs steadily well below ambient pressure, outside of pulls; nothing where it hardly
/// does, or where manifold pressure is not logged.
std::optional<double> part_load_filling(const RunView& run);

}  // namespace revwright
