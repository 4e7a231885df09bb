#include "power/quick_torque.h"

#include <numbers>

#include "power/road_motion.h"
#include "power/speed_smoother.h"

namespace revwright {
namespace {

constexpr std::size_t kFewestSamples = 8;
constexpr double kRadPerSecondInRpm = 30.0 / std::numbers::pi;

/// Engine speed of a pull; a road speed that reads too high is put right first.
SpeedSamples best_speed(const RoadDrive& drive, const RoadPull& pull) {
    SpeedSamples speed = engine_speed_of(pull, drive.car.rolling_radius_m.mean);
    if (pull.engine_rad_s.empty())
        for (double& value : speed.value) value /= drive.road_speed_scale.mean;
    return speed;
}

}  // namespace

std::vector<TorqueCurvePoint> quick_torque(const RoadDrive& drive, std::size_t pull) {
    const SpeedSamples samples = best_speed(drive, drive.pulls[pull]);
    if (samples.value.size() < kFewestSamples) return {};
    const SmoothedSpeed smooth = smooth_speed(samples);
    const RoadParameters told(drive);
    const RoadMotion motion(drive, told, pull);
    const double per_torque = motion.rate_of_torque(told.prior_mean);
    std::vector<TorqueCurvePoint> points;
    double highest = 0.0;
    for (std::size_t i = 0; i < smooth.speed.size(); ++i) {
        if (smooth.speed[i] <= highest) continue;
        highest = smooth.speed[i];
        const double by_torque = smooth.acceleration[i] - motion.rate_without_torque(told.prior_mean, smooth.speed[i]);
        points.push_back({.engine_speed_rpm = smooth.speed[i] * kRadPerSecondInRpm,
                          .torque_nm = by_torque / per_torque,
                          .torque_sd_nm = smooth.acceleration_sd[i] / per_torque});
    }
    return points;
}

}  // namespace revwright
