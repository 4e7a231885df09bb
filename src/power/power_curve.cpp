#include "power/power_curve.h"

#include <cmath>

#include "power/peak.h"

namespace revwright {

PowerCurve curve_of(const TorqueEstimate& estimate, double correction_factor) {
    const Eigen::VectorXd torque = correction_factor * estimate.torque_nm;
    const Eigen::MatrixXd covariance = std::pow(correction_factor, 2) * estimate.whole_covariance();
    PowerCurve curve;
    for (std::size_t i = 0; i < estimate.engine_speed_rpm.size(); ++i) {
        const auto at = static_cast<Eigen::Index>(i);
        curve.points.push_back({estimate.engine_speed_rpm[i], torque[at], std::sqrt(covariance(at, at))});
    }
    const Peaks peaks = peaks_of(estimate.engine_speed_rpm, torque, covariance);
    curve.power_kw = peaks.power_kw;
    curve.torque_nm = peaks.torque_nm;
    return curve;
}

}  // namespace revwright
