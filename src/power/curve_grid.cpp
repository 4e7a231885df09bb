#include "power/curve_grid.h"

#include <cmath>

#include "power/torque_estimate.h"

namespace revwright {
namespace {

constexpr double kEndRpm = 75.0;  // half a knot of the road's torque spline
constexpr double kLeastWidthRpm = 800.0;

}  // namespace

std::vector<double> curve_grid(double low_rpm, double high_rpm) {
    const double first = std::ceil((low_rpm + kEndRpm) / kCurveStepRpm) * kCurveStepRpm;
    const double last = std::floor((high_rpm - kEndRpm) / kCurveStepRpm) * kCurveStepRpm;
    std::vector<double> speeds;
    if (last - first < kLeastWidthRpm) return speeds;
    for (double speed = first; speed <= last; speed += kCurveStepRpm) speeds.push_back(speed);
    return speeds;
}

}  // namespace revwright
