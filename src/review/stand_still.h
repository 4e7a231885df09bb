#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "review/derived.h"

namespace revwright {

/// How far a channel stands still, and how far its own noise says that it should not.
struct Still {
    std::size_t first = 0, last = 0;  // indices of the first and last equal sample
};

/// The longest stretch of equal values.
Still longest_still(const Samples& trace);

/// How a channel moves in the pulls, outside its longest stand-stills.
struct Liveliness {
    double turns_per_sample = 0.0;  // turns of direction by more than one step of its resolution
    double usual_hold_s = 0.0;      // nine in ten values stood no longer than this
};
Liveliness liveliness(const std::vector<Samples>& traces, std::optional<double> resolution);

}  // namespace revwright
