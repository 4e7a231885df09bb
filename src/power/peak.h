#pragma once

#include <Eigen/Core>
#include <span>

#include "model/power.h"

namespace revwright {

struct Peaks {
    PowerPeak power_kw = {}, torque_nm = {};
};

/// Highest power and torque of a curve that is not known exactly, with 95 % intervals.
///
/// The highest point of an estimate lies too high on average, since it is also the luckiest. How much, and how wide the
/// interval is, is told by curves drawn around the estimate with its covariance: the same curves for the same input.
/// Precondition: speeds rise, all three of one size above 0.
Peaks peaks_of(std::span<const double> engine_speed_rpm, const Eigen::VectorXd& torque_nm,
               const Eigen::MatrixXd& covariance);

}  // namespace revwright
