#include "rig/knock.h"

#include <algorithm>
#include <cmath>

namespace revwright::rig {
namespace {

constexpr double kRecoveryStep = 0.25;  // degrees, where the control unit comes back in steps

/// Borderline spark at 200 kPa, 47 C charge, RON 98, lambda 0.85 over engine speed. Own choice.
double level_deg(double rpm) { return 12.0 + 1.3 * (rpm - 3000.0) / 1000.0 - 3.0 * std::exp(-(rpm - 1500.0) / 700.0); }

/// -0.35 degrees per kPa (3 to 4 octane numbers per 10 kPa, a degree each); weaker below 150 kPa, where knock no longer
/// limits and the published slope was not measured.
double pressure_deg(double kpa) { return kpa >= 150.0 ? -0.35 * (kpa - 200.0) : 17.5 - 0.15 * (kpa - 150.0); }

/// Worst about 5 % rich of stoichiometric; 2 octane numbers less need per unit of air-fuel ratio away from there.
double lambda_deg(double lambda) {
    const double away = std::hypot(lambda - 0.95, 0.01) - 0.01;
    return 2.0 * 14.6 * (away - 0.0905);
}

}  // namespace

double borderline_spark_deg(const KnockPoint& point, const KnockConditions& conditions, const Hidden& car) {
    const double fuel = 1.0 * (conditions.ron - 98.0);
    const double compression = -5.0 * (conditions.compression_ratio - 9.6);
    const double charge = -0.14 * car.charge_temp_slope * (point.charge_temp_c - 47.0);
    const double coolant = -0.10 * (point.coolant_temp_c - 90.0);
    const double back_pressure = -0.033 * (point.exhaust_kpa - 1.08 * point.manifold_kpa);
    const double tilt = car.borderline_tilt_deg * (point.engine_speed_rpm - 4000.0) / 3000.0;
    return level_deg(point.engine_speed_rpm) + car.borderline_level_deg + tilt +
           car.pressure_slope * pressure_deg(point.manifold_kpa) + car.lambda_slope * lambda_deg(point.lambda) +
           charge + coolant + back_pressure + fuel + compression + conditions.run_effect_deg;
}

double knock_probability(double spark_deg, double borderline_deg, double steepness_per_deg) {
    constexpr double kLogitOfOnePercent = -4.595119850134589;
    return 1.0 / (1.0 + std::exp(-(steepness_per_deg * (spark_deg - borderline_deg) + kLogitOfOnePercent)));
}

void KnockControl::recover(double dt_s) {
    double back = car_->knock_recovery_deg_per_s * dt_s;
    if (car_->knock_recovers_in_steps) {
        held_s_ += dt_s;
        if (held_s_ * car_->knock_recovery_deg_per_s < kRecoveryStep) return;
        held_s_ -= kRecoveryStep / car_->knock_recovery_deg_per_s;
        back = kRecoveryStep;
    }
    for (double& retard : retard_) retard = std::max(0.0, retard - back);
}

void KnockControl::knocked(int cylinder) {
    double& retard = retard_[static_cast<std::size_t>(cylinder)];
    retard = std::min(car_->knock_ceiling_deg, retard + car_->knock_step_deg);
}

double KnockControl::mean_retard_deg() const {
    double sum = 0.0;
    for (int c = 0; c < cylinders_; ++c) sum += retard_deg(c);
    return sum / cylinders_;
}

}  // namespace revwright::rig
