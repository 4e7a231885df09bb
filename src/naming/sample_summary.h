#pragma once

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "numeric/series.h"

namespace revwright {

/// What the values of a channel span, without the wildest hundredth at either end. From at most some thousand samples,
/// evenly taken, so that a long log costs no more than a short one.
struct SampleSummary {
    std::size_t samples = 0;  // of those looked at, without blanks
    double low = 0.0, middle = 0.0, high = 0.0;
    bool all_zero = false;
};

SampleSummary summary_of(std::span<const double> values);

/// Stretches of time, rising and apart.
using Stretches = std::vector<std::pair<double, double>>;

/// Summary of the samples inside the stretches.
SampleSummary summary_in(const Series& series, const Stretches& stretches);

}  // namespace revwright
