#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <optional>
#include <vector>

namespace revwright {

/// A figure with its standard deviation; 0 = exactly known.
struct Uncertain {
    double mean = 0.0;
    double sd = 0.0;
};

/// A speed over time; times rise.
struct SpeedSamples {
    std::vector<double> time_s = {};
    std::vector<double> value = {};
    bool empty() const { return time_s.empty(); }
};

/// One full-load acceleration in one gear, without slip of clutch or wheels. One of the two speeds may be missing.
struct RoadPull {
    double overall_ratio = 1.0;      // turns of the engine per turn of the wheel
    double along = 1.0;              // -1: against the way of its run
    std::size_t run = 0;             // index into RoadDrive::runs
    std::size_t curve = 0;           // which torque curve: one for each revision of the image
    SpeedSamples engine_rad_s = {};  // of the crankshaft
    SpeedSamples road_m_per_s = {};  // from a satellite receiver, or the car's own
};

/// One drive along the road.
struct RoadRun {
    double along = 1.0;               // +1, or -1 the other way, 0 across: how the road's slope and wind count
    Uncertain slope = {};             // beside the road's own; a fraction, positive uphill as driven
    Uncertain headwind_m_per_s = {};  // beside that of all runs
    double extra_mass_kg = 0.0;       // beside the car's mass as told: who sat in it
};

/// Resistance as coasting told it: a, b and c together, since they stand in for each other. It was worked out with the
/// car's mass as told: a car that is heavier by a share resists as much more.
struct CoastedLoad {
    Eigen::Vector3d load = Eigen::Vector3d::Zero();
    Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
    double mass_kg = 0.0;  // as told, with what turns
};

/// What the equation of motion needs besides torque. Resistance on the level in still air: a + b v + c v^2.
struct RoadCar {
    Uncertain mass_kg = {};  // with occupants
    Uncertain rolling_radius_m = {};
    Uncertain efficiency = {};  // crank to road, tyre slip included
    Uncertain a_n = {}, b_n_per_m_per_s = {}, c_n_per_m2_per_s2 = {};
    std::optional<CoastedLoad> coasted = {};  // takes the place of a, b and c
    double wheel_inertia_kg_m2 = 1.0;         // each of four
    double engine_inertia_kg_m2 = 0.15;
};

/// Pulls that share a car and a road.
struct RoadDrive {
    RoadCar car = {};
    Uncertain slope = {};                     // of the road, uphill in the direction of along = +1
    Uncertain headwind_m_per_s = {};          // of the day, against along = +1
    Uncertain road_speed_scale = {1.0, 0.0};  // what the road speed reads, over the true one
    Uncertain road_speed_delay_s = {};        // its time stamps lie behind those of the engine speed
    Uncertain pull_effect = {};  // by which share the torque of one pull differs from its curve: heat, gusts
    std::vector<RoadRun> runs = {};
    std::vector<RoadPull> pulls = {};
    std::size_t curves = 1;
};

}  // namespace revwright
