#pragma once

#include <cstddef>
#include <optional>
#include <span>

namespace revwright {

/// Samples over time: equally long, times strictly rising, NaN = no sample there. A view; it owns nothing.
struct Series {
    std::span<const double> times;
    std::span<const double> values;
    bool empty() const { return times.empty(); }
    std::size_t size() const { return times.size(); }
};

/// Index of the last time <= t; nothing before the first sample. O(log n).
std::optional<std::size_t> index_at(const Series& series, double t);

/// Linear interpolation between the samples around t; NaN outside the series or where a neighbour is NaN.
double value_at(const Series& series, double t);

/// The part with from <= time <= to.
Series slice(const Series& series, double from, double to);

}  // namespace revwright
