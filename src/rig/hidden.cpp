#include "rig/hidden.h"

#include <cassert>
#include <cmath>

namespace revwright::rig {
namespace {

constexpr std::uint64_t kCarStream = 1;
constexpr std::uint64_t kDayStream = 2;

/// Even on a logarithmic scale: x0.6 is as likely as x1.6 is far.
double log_uniform(Random& random, double low, double high) {
    return std::exp(random.uniform(std::log(low), std::log(high)));
}

void draw_air(Hidden& car, Random& random) {
    car.volumetric_factor = random.normal_within(1.0, 0.010, 2.0);
    car.turbo_flow_factor = random.normal_within(1.0, 0.020, 2.0);
    car.turbo_lag_factor = random.normal_within(1.0, 0.08, 2.0);
    car.wastegate_factor = random.normal_within(1.0, 0.010, 2.0);
    car.compressor_factor = random.normal_within(1.0, 0.010, 2.0);
    car.cooler_effectiveness = random.normal_within(0.80, 0.015, 2.0);
    car.cooler_heat_j_per_k = random.normal_within(5400.0, 400.0, 2.0);
}

void draw_combustion(Hidden& car, Random& random) {
    car.efficiency_factor = random.normal_within(1.0, 0.010, 2.0);
    car.spark_curvature_per_deg2 = random.uniform(3.6e-4, 5.6e-4);
    car.best_torque_offset_deg = random.normal_within(0.0, 1.0, 2.0);
    car.friction_factor = random.normal_within(1.0, 0.05, 2.0);
}

void draw_borderline(Hidden& car, Variety variety, int cylinders, Random& random) {
    if (variety == Variety::wide) {
        car.borderline_level_deg = random.uniform(-4.0, 4.0);
        car.borderline_tilt_deg = random.normal_within(0.0, 1.2, 2.0);
        car.charge_temp_slope = log_uniform(random, 0.6, 1.6);
        car.pressure_slope = log_uniform(random, 0.6, 1.6);
        car.lambda_slope = log_uniform(random, 0.6, 1.6);
        car.knock_steepness_per_deg = random.normal_within(0.9, 0.25, 1.8);
        car.knock_step_deg = 0.25 * std::round(4.0 * random.uniform(2.0, 4.0));
    } else {
        car.borderline_level_deg = random.normal_within(0.0, 0.6, 1.6);
        car.borderline_tilt_deg = random.normal_within(0.0, 0.3, 2.0);
        car.charge_temp_slope = log_uniform(random, 0.85, 1.18);
        car.pressure_slope = log_uniform(random, 0.93, 1.07);
        car.lambda_slope = log_uniform(random, 0.85, 1.18);
        car.knock_steepness_per_deg = random.normal_within(0.95, 0.08, 2.0);
        car.knock_step_deg = 0.25 * std::round(4.0 * random.uniform(2.25, 3.0));
    }
    car.knock_recovery_deg_per_s = random.uniform(0.8, 1.2);
    car.knock_recovers_in_steps = random.chance(0.5);
    for (int c = 0; c < cylinders; ++c)
        car.cylinder_offset_deg[static_cast<std::size_t>(c)] = random.normal_within(0.0, 0.4, 1.6);
}

void draw_sensors(Hidden& car, Random& random) {
    car.exhaust_offset_k = random.normal_within(0.0, 10.0, 2.0);
    car.exhaust_lambda_k_per_unit = random.normal_within(500.0, 80.0, 2.0);
    car.exhaust_spark_k_per_deg = random.normal_within(8.0, 1.2, 2.0);
    car.metal_lag_s = random.normal_within(6.0, 1.0, 2.0);
    car.probe_lag_s = random.normal_within(1.2, 0.2, 2.0);
    car.meter_gain = random.normal_within(1.0, 0.005, 2.0);
    car.injector_gain = random.normal_within(1.0, 0.003, 2.0);
    car.lambda_delay_s = random.uniform(0.012, 0.028);
    car.lambda_volume_kg = random.uniform(0.003, 0.005);
    car.lambda_lag_s = random.uniform(0.050, 0.075);
    car.torque_model_factor = random.normal_within(1.0, 0.02, 2.0);
}

}  // namespace

Hidden draw_hidden(Variety variety, int cylinders, std::uint64_t car_seed) {
    assert(cylinders >= 1 && cylinders <= kMostCylinders);
    Random random{car_seed, kCarStream};
    Hidden car;
    draw_air(car, random);
    draw_combustion(car, random);
    draw_borderline(car, variety, cylinders, random);
    draw_sensors(car, random);
    return car;
}

double standard_pressure_kpa(double altitude_m) { return 101.325 * std::pow(1.0 - 2.25577e-5 * altitude_m, 5.25588); }

Day draw_day(const Site& site, std::uint64_t run_seed) {
    Random random{run_seed, kDayStream};
    Day day;
    day.ambient_temp_c = random.uniform(17.5, 22.5);
    day.ambient_pressure_kpa = standard_pressure_kpa(site.altitude_m) + random.normal_within(0.0, 0.6, 2.0);
    day.run_effect_deg = random.normal_within(0.0, 0.5, 2.0);
    day.wind_m_s = random.normal_within(0.0, 1.5, 2.0);
    day.slope_pct = site.slope_pct + random.normal_within(0.0, 0.1, 2.0);
    day.battery_v = random.normal_within(14.1, 0.1, 2.0);
    return day;
}

}  // namespace revwright::rig
