#include "power/road_parameters.h"

#include <algorithm>
#include <array>
#include <limits>
#include <numbers>

namespace revwright {
namespace {

constexpr double kKnotStep = 150.0 * std::numbers::pi / 30.0;  // 150 rpm
constexpr double kMargin = 0.03;  // beyond the speeds that were read: noise, and a radius that is not yet known

UniformSpline over_all_speeds(const RoadDrive& drive) {
    double low = std::numeric_limits<double>::infinity(), high = 0.0;
    for (const RoadPull& pull : drive.pulls)
        for (const double speed : engine_speed_of(pull, drive.car.rolling_radius_m.mean).value)
            low = std::min(low, speed), high = std::max(high, speed);
    return {low - kMargin * high, high + kMargin * high, kKnotStep};
}

}  // namespace

SpeedSamples engine_speed_of(const RoadPull& pull, double rolling_radius_m) {
    if (!pull.engine_rad_s.empty()) return pull.engine_rad_s;
    SpeedSamples speed = pull.road_m_per_s;
    for (double& value : speed.value) value *= pull.overall_ratio / rolling_radius_m;
    return speed;
}

RoadParameters::RoadParameters(const RoadDrive& drive)
    : spline(over_all_speeds(drive)),
      runs(kSharedCount),
      effects(runs + 2 * static_cast<Eigen::Index>(drive.runs.size())),
      pulls(effects + static_cast<Eigen::Index>(drive.pulls.size())),
      curves(pulls + static_cast<Eigen::Index>(drive.pulls.size())),
      size(curves + static_cast<Eigen::Index>(drive.curves * spline.coefficients())),
      prior_mean(Eigen::VectorXd::Zero(size)),
      prior_precision(Eigen::VectorXd::Zero(size)),
      free(Eigen::VectorXd::Ones(size)) {
    const RoadCar& car = drive.car;
    const std::array<Uncertain, kSharedCount> shared{car.mass_kg,
                                                     car.rolling_radius_m,
                                                     car.efficiency,
                                                     car.a_n,
                                                     car.b_n_per_m_per_s,
                                                     car.c_n_per_m2_per_s2,
                                                     drive.slope,
                                                     drive.headwind_m_per_s,
                                                     drive.road_speed_scale,
                                                     drive.road_speed_delay_s};
    for (Eigen::Index i = 0; i < kSharedCount; ++i) know(i, shared[static_cast<std::size_t>(i)]);
    for (std::size_t i = 0; i < drive.runs.size(); ++i) {
        know(run(i), drive.runs[i].slope);
        know(run(i) + 1, drive.runs[i].headwind_m_per_s);
    }
    for (std::size_t i = 0; i < drive.pulls.size(); ++i) know(effect(i), drive.pull_effect);
}

void RoadParameters::know(Eigen::Index i, Uncertain figure) {
    prior_mean[i] = figure.mean;
    if (figure.sd > 0.0)
        prior_precision[i] = 1.0 / (figure.sd * figure.sd);
    else
        free[i] = 0.0;
}

}  // namespace revwright
