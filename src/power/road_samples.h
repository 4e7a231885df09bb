#pragma once

#include <Eigen/Core>

#include "power/road_parameters.h"

namespace revwright {

/// Residuals of one kind of speed, and how they follow every parameter, as sums over the samples.
struct SampleSums {
    double squares = 0.0;
    double count = 0.0;
    Eigen::MatrixXd information;  // lower half of the sum of row row'
    Eigen::VectorXd gradient;     // sum of residual * row

    explicit SampleSums(Eigen::Index size)
        : information(Eigen::MatrixXd::Zero(size, size)), gradient(Eigen::VectorXd::Zero(size)) {}
    void add(double residual, const Eigen::VectorXd& row);
    Eigen::MatrixXd full_information() const { return information.selfadjointView<Eigen::Lower>(); }
    /// Squares once the parameters have moved by `change`, as far as the rows hold.
    double squares_after(const Eigen::VectorXd& change) const;
};

struct RoadSums {
    SampleSums engine, road;
};

/// Follows every pull through the equation of motion and holds it against its samples.
RoadSums follow_pulls(const RoadDrive& drive, const RoadParameters& layout, const Eigen::VectorXd& parameters);

/// How far each curve bends between its coefficients, which smoothness holds against zero.
///
/// Of torque as the speeds show it, not of torque itself: a heavier car needs more torque for the same speeds, and its
/// curve bends more for no other reason. Held against torque itself, smoothness would take the lightest car that mass,
/// radius and efficiency allow, which lies half a percent and more too low.
SampleSums follow_bends(const RoadDrive& drive, const RoadParameters& layout, const Eigen::VectorXd& parameters);

/// Where to begin: along the speed that was read, what speed is gained is an integral which torque enters linearly.
Eigen::VectorXd first_guess(const RoadDrive& drive, const RoadParameters& layout);

}  // namespace revwright
