#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "model/table.h"
#include "review/run_view.h"

namespace revwright {

/// What an axis may have been at a time; NaN where no sample is near.
struct AxisBox {
    double low = std::numeric_limits<double>::quiet_NaN(), middle = low, high = low;
};

/// One axis of a table along a log.
struct AxisTrace {
    Samples samples;
    double reach_s = 0.0;      // one refresh of its channel
    double noise_share = 0.0;  // of the value

    /// What the axis may have been while a value logged at t was made.
    AxisBox at(double t) const;
};

/// The axes of a table in the unit of their channels; nothing where one is neither logged nor derived.
std::optional<std::vector<AxisTrace>> traces_for(const RunView& run, const Table& table);

}  // namespace revwright
