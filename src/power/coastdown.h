#pragma once

#include <Eigen/Core>
#include <vector>

#include "core/error.h"
#include "physics/vehicle.h"
#include "power/road_drive.h"

namespace revwright {

/// One stretch of coasting in neutral, and the road and wind it had.
struct CoastdownRun {
    RoadRun road = {};
    SpeedSamples speed_m_per_s = {};
};

/// Coasting runs of one car on one road, driven one way or both.
struct CoastdownTest {
    Uncertain mass_kg = {};           // with occupants
    Uncertain turning_mass_kg = {};   // 4 Jw / r^2: what turns with the wheels in neutral, as a mass
    Uncertain slope = {};             // of the road, uphill in the direction of along = +1
    Uncertain headwind_m_per_s = {};  // of the day, against along = +1
    bool linear_term = true;          // false: b is held at 0
    std::vector<CoastdownRun> runs = {};
};

/// Resistance on the level in still air, a + b v + c v^2, and how well the runs tell it.
struct CoastdownFit {
    Eigen::Vector3d load = Eigen::Vector3d::Zero();  // a in N, b in N/(m/s), c in N/(m/s)^2
    Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
    Uncertain slope = {}, headwind_m_per_s = {};  // of road and day, as the runs leave them
    double noise_m_per_s = 0.0;                   // of one sample, found in the data
    double walk_m_per_s = 0.0;                    // what gusts and bumps add to the speed in the root of a second
    double gusts_last_s = 0.0;                    // 0: none were found
    double degrees_of_freedom = 0.0;
    int rounds = 0;

    RoadLoad road_load() const { return {{load[0]}, {load[1]}, {load[2]}}; }
    Uncertain resistance_n(Speed v) const;
};

/// Fits the resistance of a car to the speeds of its coasting runs through the equation of motion,
///
///   (m + turning mass) dv/dt = -a - b v - c (v + wind)|v + wind| - m g slope,
///
/// by integration: no speed is differentiated. Mass, slope and wind take part with what is known of them. Both ways
/// tell slope and wind from resistance; one way alone leaves their whole prior in the interval of a. What gusts and an
/// uneven road do to the speed stays in it: a random walk beside the noise of the samples, and both are found in them.
///
/// b may come out negative, as it does for many cars: it stands for the bend that a and c leave over.
/// Gauss-Newton with exact derivatives. Sources: the form, [CFR1066.210]; the walk by restricted maximum likelihood,
/// [PattersonThompson1971] (from memory).
/// Precondition: times rise, each with its value.
/// Errors: fewer than eight samples, or too few for what they must tell; less than 8 m/s between the highest and the
/// lowest speed; a run that gets faster or comes to a stop; speeds that no resistance explains.
Result<CoastdownFit> fit_coastdown(const CoastdownTest& test);

}  // namespace revwright
