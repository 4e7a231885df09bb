#include "rig/vehicle.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace revwright::rig {
namespace {

constexpr double kGravity = 9.80665;
constexpr double kDryAir = 287.05287;

}  // namespace

Vehicle::Vehicle(const JobSheet& job)
    : car_(job.car),
      radius_m_(job.car.rolling_circumference_m / (2.0 * std::numbers::pi)),
      engine_inertia_kg_m2_(job.engine.inertia_kg_m2) {}

double Vehicle::engine_speed_rpm(double speed_m_s, int gear) const {
    return speed_m_s / car_.rolling_circumference_m * overall(gear) * 60.0;
}

double Vehicle::speed_m_s(double engine_speed_rpm, int gear) const {
    return engine_speed_rpm / 60.0 / overall(gear) * car_.rolling_circumference_m;
}

double Vehicle::resistance_n(double speed_m_s, const Day& day) const {
    const double density = day.ambient_pressure_kpa * 1e3 / (kDryAir * (day.ambient_temp_c + 273.15));
    const double air_speed = speed_m_s + day.wind_m_s;
    const double slope_n = car_.mass_kg * kGravity * std::sin(std::atan(day.slope_pct / 100.0));
    if (car_.coastdown) {
        const double standard_density = 100e3 / (kDryAir * 293.15);
        return car_.coastdown->a_n + car_.coastdown->b_n_per_m_s * speed_m_s +
               car_.coastdown->c_n_per_m2_s2 * density / standard_density * air_speed * std::abs(air_speed) + slope_n;
    }
    const double drag_n = 0.5 * density * car_.drag_area_m2.value_or(0.65) * air_speed * std::abs(air_speed);
    const double rolling_n = speed_m_s > 0.1 ? car_.rolling_coefficient.value_or(0.011) * car_.mass_kg * kGravity : 0.0;
    return drag_n + rolling_n + slope_n;
}

double Vehicle::thrust_n(double crank_torque_nm, int gear) const {
    const double kept = 1.0 - car_.driveline_loss_fraction;
    const double factor = crank_torque_nm >= 0.0 ? kept : 1.0 / kept;
    return crank_torque_nm * overall(gear) * factor / radius_m_;
}

double Vehicle::moving_mass_kg(int gear) const {
    const double wheels = 4.0 * car_.wheel_inertia_kg_m2 / (radius_m_ * radius_m_);
    if (gear <= 0) return car_.mass_kg + wheels;
    const double turns = overall(gear) / radius_m_;
    return car_.mass_kg + wheels + engine_inertia_kg_m2_ * turns * turns * (1.0 - car_.driveline_loss_fraction);
}

}  // namespace revwright::rig
