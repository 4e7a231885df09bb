#include "power/road_parameters.h"

#include <Eigen/LU>
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
      free(Eigen::VectorXd::Ones(size)),
      prior_precision_(Eigen::VectorXd::Zero(size)) {
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
    if (car.coasted) know_load(*car.coasted);
    for (std::size_t i = 0; i < drive.runs.size(); ++i) {
        know(run(i), drive.runs[i].slope);
        know(run(i) + 1, drive.runs[i].headwind_m_per_s);
    }
    for (std::size_t i = 0; i < drive.pulls.size(); ++i) know(effect(i), drive.pull_effect);
}

/// What is known is load - (mass / mass told) * load told.
void RoadParameters::know_load(const CoastedLoad& coasted) {
    prior_mean.segment<3>(kDragA) = coasted.load;
    prior_precision_.segment<3>(kDragA).setZero();
    free.segment<3>(kDragA).setOnes();
    Eigen::Matrix<double, 3, kSharedCount> known = Eigen::Matrix<double, 3, kSharedCount>::Zero();
    known.middleCols<3>(kDragA).setIdentity();
    known.col(kMass) = -free[kMass] * coasted.load / coasted.mass_kg;
    together_ = known.transpose() * coasted.covariance.inverse() * known;
}

double RoadParameters::prior_distance(const Eigen::VectorXd& parameters) const {
    const Eigen::VectorXd away = parameters - prior_mean;
    const auto shared = away.head<kSharedCount>();
    return away.cwiseAbs2().dot(prior_precision_) + shared.dot(together_ * shared);
}

void RoadParameters::add_prior(Eigen::MatrixXd& precision, Eigen::VectorXd& gradient,
                               const Eigen::VectorXd& parameters) const {
    const Eigen::VectorXd towards = prior_mean - parameters;
    precision.diagonal() += prior_precision_;
    precision.topLeftCorner<kSharedCount, kSharedCount>() += together_;
    gradient += prior_precision_.cwiseProduct(towards);
    gradient.head<kSharedCount>() += together_ * towards.head<kSharedCount>();
}

void RoadParameters::know(Eigen::Index i, Uncertain figure) {
    prior_mean[i] = figure.mean;
    if (figure.sd > 0.0)
        prior_precision_[i] = 1.0 / (figure.sd * figure.sd);
    else
        free[i] = 0.0;
}

}  // namespace revwright
