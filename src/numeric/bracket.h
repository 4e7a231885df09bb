#pragma once

#include <cstddef>
#include <span>

namespace revwright {

/// Where a value lies on a rising list of points: between points[index] and points[index + 1], `part` of the way
/// (0..1). Outside the list it is clamped to the end, as control units read their tables.
struct Bracket {
    std::size_t index = 0;
    double part = 0.0;
    bool clamped = false;
};

/// points strictly rising, at least one; x finite. For a single point: {0, 0, x != points[0]}.
Bracket bracket(std::span<const double> points, double x);

}  // namespace revwright
