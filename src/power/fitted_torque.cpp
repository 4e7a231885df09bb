#include "power/fitted_torque.h"

#include <numbers>

namespace revwright {

TorqueEstimate torque_of(const RoadFit& fit, std::size_t curve, std::vector<double> speeds_rpm) {
    Eigen::MatrixXd rows(static_cast<Eigen::Index>(speeds_rpm.size()), fit.layout.size);
    for (std::size_t i = 0; i < speeds_rpm.size(); ++i)
        rows.row(static_cast<Eigen::Index>(i)) =
            fit.torque_row(curve, speeds_rpm[i] * std::numbers::pi / 30.0).transpose();
    return {.engine_speed_rpm = std::move(speeds_rpm),
            .torque_nm = rows * fit.parameters,
            .covariance = rows * fit.covariance * rows.transpose()};
}

}  // namespace revwright
