#pragma once

#include <Eigen/Core>
#include <cstddef>

#include "power/road_drive.h"
#include "power/torque_spline.h"

namespace revwright {

/// What all pulls of a drive have in common, in the order of the parameters.
enum RoadShared : Eigen::Index {
    kMass,
    kRadius,
    kEfficiency,
    kDragA,
    kDragB,
    kDragC,
    kSlope,
    kWind,
    kSpeedScale,
    kSpeedDelay,
    kSharedCount
};

/// Everything a drive leaves open, as one vector: what is shared, then slope and head wind of each run, the effect and
/// after these the engine speed at the first sample of each pull, and the coefficients of each torque curve.
struct RoadParameters {
    explicit RoadParameters(const RoadDrive& drive);

    UniformSpline spline;                                                 // over engine speed in rad/s
    Eigen::Index runs = 0, effects = 0, pulls = 0, curves = 0, size = 0;  // where each part begins; the whole
    Eigen::VectorXd prior_mean;
    Eigen::VectorXd free;  // 1, or 0 for what is known exactly

    /// How far parameters lie from what was known beforehand: the square, in standard deviations.
    double prior_distance(const Eigen::VectorXd& parameters) const;
    /// What was known, as a precision to add to that of the samples, and as the gradient towards it.
    void add_prior(Eigen::MatrixXd& precision, Eigen::VectorXd& gradient, const Eigen::VectorXd& parameters) const;

    Eigen::Index run(std::size_t index) const { return runs + 2 * static_cast<Eigen::Index>(index); }
    Eigen::Index effect(std::size_t index) const { return effects + static_cast<Eigen::Index>(index); }
    Eigen::Index pull(std::size_t index) const { return pulls + static_cast<Eigen::Index>(index); }
    Eigen::Index curve(std::size_t index) const {
        return curves + static_cast<Eigen::Index>(index * spline.coefficients());
    }

private:
    using SharedPrecision = Eigen::Matrix<double, kSharedCount, kSharedCount>;
    void know_load(const CoastedLoad& coasted);
    void know(Eigen::Index i, Uncertain figure);

    Eigen::VectorXd prior_precision_;                     // of each alone, and beside it ...
    SharedPrecision together_ = SharedPrecision::Zero();  // ... of those that are known together
};

/// Engine speed of a pull's samples, from the road speed where it is not logged itself.
SpeedSamples engine_speed_of(const RoadPull& pull, double rolling_radius_m);

}  // namespace revwright
