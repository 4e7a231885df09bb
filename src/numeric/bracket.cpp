#include "numeric/bracket.h"

#include <algorithm>

namespace revwright {

Bracket bracket(std::span<const double> points, double x) {
    if (points.size() == 1) return {0, 0.0, x != points[0]};
    if (x <= points.front()) return {0, 0.0, x < points.front()};
    if (x >= points.back()) return {points.size() - 2, 1.0, x > points.back()};
    const auto above = std::ranges::upper_bound(points, x);
    const auto index = static_cast<std::size_t>(above - points.begin()) - 1;
    return {index, (x - points[index]) / (points[index + 1] - points[index]), false};
}

}  // namespace revwright
