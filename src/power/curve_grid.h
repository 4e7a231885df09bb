#pragma once

#include <vector>

namespace revwright {

/// Engine speeds at multiples of kCurveStepRpm that lie a little inside low..high, where a curve from such data can be
/// trusted. Empty where less than 800 rpm is left.
std::vector<double> curve_grid(double low_rpm, double high_rpm);

}  // namespace revwright
