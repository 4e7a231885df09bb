#include "power/torque_spline.h"

#include <algorithm>
#include <cmath>

namespace revwright {

UniformSpline::UniformSpline(double from, double to, double step)
    : from_(from), step_(step), coefficients_(static_cast<std::size_t>(std::ceil((to - from) / step)) + 3) {}

SplineBasis UniformSpline::at(double x) const {
    const double cells = static_cast<double>(coefficients_ - 3);
    const double place = std::min(cells, std::max(0.0, (x - from_) / step_));  // 0 where x is not a number
    const double cell = std::min(std::floor(place), cells - 1.0), t = place - cell, u = 1.0 - t;
    SplineBasis basis{.first = static_cast<std::size_t>(cell)};
    basis.value = {u * u * u / 6.0, (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0,
                   (-3.0 * t * t * t + 3.0 * t * t + 3.0 * t + 1.0) / 6.0, t * t * t / 6.0};
    basis.slope = {-u * u / 2.0, (9.0 * t * t - 12.0 * t) / 6.0, (-9.0 * t * t + 6.0 * t + 3.0) / 6.0, t * t / 2.0};
    for (double& slope : basis.slope) slope /= step_;
    return basis;
}

}  // namespace revwright
