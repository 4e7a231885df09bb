#pragma once

#include <Eigen/Core>

#include "power/road_parameters.h"

namespace revwright {

/// The equation of motion of one pull, with the engine's speed w as its state:
///
///   R meff dw/dt = (1 + effect) T(w) eta / R - a - b v - c (v + wind)|v + wind| - m g slope
///
/// R = rolling radius / overall ratio, v = w R, meff = m + 4 Jw / r^2 + eta Je / R^2: what speeds up the engine itself
/// is not lost on the way to the road. (Without that torque comes out 0.2 % too high in third gear.) There eta is the
/// one told beforehand. The slope is small: its sine is taken as the slope itself (below 0.2 % of it up to a slope of 6
/// %). Source: Newton's second law; [CFR1066.210] for the resistance; kinetic energy of the rotating parts.
class RoadMotion {
public:
    RoadMotion(const RoadDrive& drive, const RoadParameters& layout, std::size_t pull)
        : drive_(drive),
          layout_(layout),
          pull_(drive.pulls[pull]),
          run_(drive.runs[pull_.run]),
          effect_(layout.effect(pull)) {}

    /// dw/dt in rad/s^2, and the rate of change of `by`, the derivative of w by every parameter.
    double rate(const Eigen::VectorXd& parameters, double engine_rad_s, const Eigen::VectorXd& by,
                Eigen::VectorXd& by_rate) const;
    /// dw/dt apart from what torque does, which is weight_k * coefficient_k: the part that a linear regression needs.
    double rate_without_torque(const Eigen::VectorXd& parameters, double engine_rad_s) const;
    /// What a unit of torque adds to dw/dt.
    double rate_of_torque(const Eigen::VectorXd& parameters) const;
    /// Road speed over engine speed, R.
    double metres_per_radian(const Eigen::VectorXd& parameters) const {
        return parameters[kRadius] / pull_.overall_ratio;
    }
    double effective_mass(const Eigen::VectorXd& parameters) const;

private:
    struct Air {
        double slope = 0.0, headwind = 0.0;
    };
    Air air(const Eigen::VectorXd& parameters) const;
    double engine_inertia() const { return drive_.car.efficiency.mean * drive_.car.engine_inertia_kg_m2; }
    double car_mass(const Eigen::VectorXd& parameters) const { return parameters[kMass] + run_.extra_mass_kg; }
    double resistance(const Eigen::VectorXd& parameters, double v) const;

    const RoadDrive& drive_;
    const RoadParameters& layout_;
    const RoadPull& pull_;
    const RoadRun& run_;
    Eigen::Index effect_;
};

}  // namespace revwright
