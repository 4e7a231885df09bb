#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "power/road_drive.h"
#include "recovery/true_car.h"

namespace revwright {

/// One torque curve as it is, over the engine speeds that its pulls were logged at.
struct TrueCurve {
    TorqueOfSpeed torque_nm = {};
    double from_rpm = 1e9, to_rpm = 0.0;
    double rated_kw = 0.0;  // where its maker states it: the truth of the peak, instead of the curve's own
};

/// A drive as the estimator is told of it, and the truth.
struct PowerCase {
    std::string name = {};
    std::string kind = {};      // "one pull", "both ways" ...
    std::string channels = {};  // "road speed", "engine speed", "both"
    double rate_hz = 10.0;
    RoadDrive told = {};
    std::vector<TrueCurve> curves = {};
};

/// What is driven in a case; the rest is drawn.
enum class PowerCaseKind { known_car, one_pull, both_ways, four_pulls, two_revisions };

/// Known car: one pull in third gear, road speed at 10 Hz with 0.05 m/s of noise, all but torque told exactly. The
/// others: car, gear, road, wind, sensors and curve are drawn, and what is told of them is off by as much as it claims.
PowerCase power_case(PowerCaseKind kind, std::uint64_t seed);

/// Adds what the sensors saw of a pull on curve `curve`. Precondition: told.runs holds the pull's run.
struct PowerSensors {
    bool road = true, engine = false;
    SpeedSensor road_m_per_s = {}, engine_rpm = {};
    double road_scale = 1.0;
};
void log_pull(PowerCase& into, const TrueCar& car, const TruePull& pull, const RoadPull& place,
              const PowerSensors& sensors, PowerRandom& random);

}  // namespace revwright
