#pragma once

#include <Eigen/Core>
#include <vector>

namespace revwright {

/// Torque at the crankshaft over engine speed as one method has it, uncorrected, with its errors: those of its own as a
/// covariance, and those it has in common with another method, which must not be taken for independent evidence.
struct TorqueEstimate {
    std::vector<double> engine_speed_rpm = {};  // rising; see kCurveStepRpm
    Eigen::VectorXd torque_nm = {};
    Eigen::MatrixXd covariance = {};  // Nm^2, of its own errors alone
    Eigen::VectorXd air_meter = {};   // what one standard deviation of the air meter's scale does to it; empty: nothing

    /// Of all its errors together.
    Eigen::MatrixXd whole_covariance() const {
        Eigen::MatrixXd whole = covariance;
        if (air_meter.size() > 0) whole += air_meter * air_meter.transpose();
        return whole;
    }
};

/// Curves of all methods stand at multiples of this speed, so that they can be held against each other. Our choice:
/// fine enough for a peak, coarser than any method resolves.
inline constexpr double kCurveStepRpm = 50.0;

}  // namespace revwright
