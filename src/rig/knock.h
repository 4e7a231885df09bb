#pragma once

#include <array>

#include "rig/hidden.h"
#include "rig/random.h"

namespace revwright::rig {

/// The operating point as the end gas feels it.
struct KnockPoint {
    double engine_speed_rpm = 0.0;
    double manifold_kpa = 0.0;
    double exhaust_kpa = 0.0;
    double charge_temp_c = 0.0;
    double coolant_temp_c = 90.0;
    double lambda = 0.85;
};

/// Fuel, run and place: what shifts the whole field.
struct KnockConditions {
    double ron = 98.0;
    double compression_ratio = 9.6;
    double run_effect_deg = 0.0;
};

/// Borderline spark of an average cylinder, degrees before top dead centre: the spark at which one combustion in a
/// hundred knocks. Level and speed shape are our own; sensitivities are published (docs/rig.md).
double borderline_spark_deg(const KnockPoint& point, const KnockConditions& conditions, const Hidden& car);

/// Chance that one combustion knocks at a delivered spark: logistic, 1 % at borderline.
double knock_probability(double spark_deg, double borderline_deg, double steepness_per_deg);

/// Knock control of the control unit: a step back on each event in that cylinder, a slow way forward again.
class KnockControl {
public:
    KnockControl(const Hidden& car, int cylinders) : car_(&car), cylinders_(cylinders) {}
    void recover(double dt_s);
    void knocked(int cylinder);
    double retard_deg(int cylinder) const { return retard_[static_cast<std::size_t>(cylinder)]; }
    double mean_retard_deg() const;

private:
    const Hidden* car_;
    int cylinders_;
    double held_s_ = 0.0;
    std::array<double, kMostCylinders> retard_{};
};

}  // namespace revwright::rig
