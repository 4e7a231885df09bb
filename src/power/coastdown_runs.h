#pragma once

#include <Eigen/Core>
#include <vector>

#include "power/coastdown.h"

namespace revwright {

/// What all runs of a coastdown share, in the order of the parameters; after these slope, head wind and first speed of
/// each run.
enum CoastShared : Eigen::Index {
    kCoastA,
    kCoastB,
    kCoastC,
    kCoastMass,
    kCoastTurning,
    kCoastSlope,
    kCoastWind,
    kCoastShared
};
inline Eigen::Index coast_run(std::size_t run) { return kCoastShared + 3 * static_cast<Eigen::Index>(run); }

/// One run moves with ten parameters: the shared ones, and slope, head wind and first speed of its own.
constexpr Eigen::Index kCoastLocal = kCoastShared + 3;
using CoastRow = Eigen::Matrix<double, kCoastLocal, 1>;

/// One sample of a run held against the run as computed.
struct CoastSample {
    double after_s = 0.0;  // since the sample before it
    double residual = 0.0;
    CoastRow by = CoastRow::Zero();  // of the computed speed, by the ten parameters of its run
};

/// Lets every run coast from its first speed and holds it against its samples.
std::vector<std::vector<CoastSample>> follow_coastdown(const CoastdownTest& test, const Eigen::VectorXd& parameters);

/// Samples as sums over all parameters, freed of what one sample hands to the next.
struct CoastSums {
    double squares = 0.0, count = 0.0;
    double log_spread = 0.0;  // sum of log(variance of a sample given those before it / variance of its own noise)
    Eigen::MatrixXd information;
    Eigen::VectorXd gradient;
};

/// Pushes at random, by gusts and a road that is not even.
struct Gusts {
    double walk = 0.0;       // what they add to the variance of the speed in a second, over that of a sample's noise
    double lasting_s = 0.1;  // how long one lasts: the time in which its likeness to itself falls by e
};

/// Sums over samples whose noise has two parts: one of each sample alone, and what gusts have done to the speed itself.
///
/// Each residual is taken less what those before it foretell, by Kalman's filter of two states: what the gusts have
/// added to the speed, and how they push now. Source: [Kalman1960] (from memory).
CoastSums sum_up(const std::vector<std::vector<CoastSample>>& runs, const Gusts& gusts);

/// Why these runs tell no resistance, if they do not.
Result<void> check_coastdown(const CoastdownTest& test);

}  // namespace revwright
