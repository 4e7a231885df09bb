#pragma once

#include <functional>
#include <vector>

#include "power/road_drive.h"
#include "recovery/power_random.h"

namespace revwright {

/// A car whose torque is known, driven along a road: its state is road speed, its steps are of a millisecond. It shares
/// nothing with the estimator but the shape of what that is told.
///
///   (m + 4 Jw / r^2 + eta Je i^2 / r^2) dv/dt = eta T i / r - a - b v - c (v + w)|v + w| - m g sin(atan(slope))
///
/// Engine and gears stand before the driveline's loss, so what the engine's own inertia takes is not lost there again.
struct TrueCar {
    double mass_kg = 1500.0, radius_m = 0.31, efficiency = 0.9;
    double wheel_inertia_kg_m2 = 1.0, engine_inertia_kg_m2 = 0.15;
    double a_n = 150.0, b_n_per_m_per_s = 0.0, c_n_per_m2_per_s2 = 0.4;
};

using TorqueOfSpeed = std::function<double(double engine_speed_rpm)>;

struct TruePull {
    double overall_ratio = 5.2;
    double from_rpm = 2000.0, to_rpm = 6600.0;
    double slope = 0.0, headwind_m_per_s = 0.0;  // as driven
    double torque_factor = 1.0;                  // of this pull: heat, gusts
    TorqueOfSpeed torque_nm = {};
};

/// Road speed at every millisecond from the begin of a pull.
class SpeedTrace {
public:
    explicit SpeedTrace(std::vector<double> road_m_per_s) : road_m_per_s_(std::move(road_m_per_s)) {}
    double seconds() const;
    double road_m_per_s(double time_s) const;

private:
    std::vector<double> road_m_per_s_;
};

/// Ends where the pull does, after a minute, or where the car hardly gains speed any more.
SpeedTrace drive(const TrueCar& car, const TruePull& pull);

/// What logs a speed. Its stamps are even; what it reads is as old or as young as the jitter says.
struct SpeedSensor {
    double rate_hz = 10.0;
    double noise = 0.05;    // of one sample, in its own unit
    double step = 0.01;     // what it rounds to
    double jitter_s = 0.0;  // at most, either way
    double delay_s = 0.0;   // its stamps lie behind
};

/// The trace times `per_m_per_s`, which turns road speed into the sensor's unit.
SpeedSamples read(const SpeedTrace& trace, double per_m_per_s, const SpeedSensor& sensor, PowerRandom& random);

}  // namespace revwright
