#pragma once

#include <Eigen/Core>
#include <cstddef>

#include "core/error.h"
#include "power/road_drive.h"
#include "power/road_parameters.h"

namespace revwright {

/// Torque over engine speed that explains the speeds of all pulls, and how well it is known.
///
/// One vector of parameters with one covariance: two curves of one fit share the errors of mass, radius, resistance and
/// slope, so that their difference is known far better than either.
struct RoadFit {
    RoadParameters layout;
    Eigen::VectorXd parameters;
    Eigen::MatrixXd covariance;
    double engine_noise_rad_s = 0.0, road_noise_m_per_s = 0.0;  // of one sample, found in the data; 0: not logged
    double degrees_of_freedom = 0.0;
    int rounds = 0;

    /// What torque in Nm at the crankshaft is of the parameters, by which its sd and covariances follow too.
    Eigen::VectorXd torque_row(std::size_t curve, double engine_rad_s) const;
};

/// Fits a spline of torque, with knots every 150 rpm, through the equation of motion to the speed samples: no speed is
/// differentiated. What is not known for certain takes part with its prior; noise and smoothness are those that make
/// the samples most probable.
///
/// Gauss-Newton with exact derivatives. Sources: evidence for noise and smoothness, [MacKay1992]; second differences as
/// prior of spline coefficients, [EilersMarx1996] (both from memory).
/// Preconditions: each pull has a speed of at least eight samples; indices in range.
/// Errors: no motion explains the samples.
Result<RoadFit> fit_road(const RoadDrive& drive);

}  // namespace revwright
