#pragma once

#include <array>
#include <cstdint>

#include "model/job.h"
#include "rig/random.h"

namespace revwright::rig {

inline constexpr int kMostCylinders = 12;

/// How far the cars of the rig differ from the nominal one. `usual`: cars of one make, on which the standard image is
/// good. `wide`: borderline spark +-4 degrees, its slopes x0.6 to x1.6, for campaigns that test how the loop copes.
enum class Variety { usual, wide };

/// What only the rig knows about a car. The defaults are the nominal car of the example's size; every number group has
/// its source in docs/rig.md. Factors multiply the nominal value.
struct Hidden {
    // air
    double volumetric_factor = 1.0;
    double turbo_flow_factor = 1.0;  // flow needed for boost; above 1 = later boost
    double turbo_lag_factor = 1.0;
    double wastegate_factor = 1.0;   // boost reached at a given duty
    double compressor_factor = 1.0;  // efficiency
    double cooler_effectiveness = 0.80;
    double cooler_heat_j_per_k = 5400.0;
    // combustion
    double efficiency_factor = 1.0;
    double spark_curvature_per_deg2 = 4.6e-4;
    double best_torque_offset_deg = 0.0;
    double friction_factor = 1.0;
    // borderline spark
    double borderline_level_deg = 0.0;
    double borderline_tilt_deg = 0.0;  // over 3000 rpm, around 4000 rpm
    double charge_temp_slope = 1.0;    // factors on the published sensitivities
    double pressure_slope = 1.0;
    double lambda_slope = 1.0;
    double knock_steepness_per_deg = 0.9;
    std::array<double, kMostCylinders> cylinder_offset_deg{};
    // knock control
    double knock_step_deg = 3.0;
    double knock_recovery_deg_per_s = 1.0;
    bool knock_recovers_in_steps = false;
    double knock_ceiling_deg = 12.0;
    // exhaust
    double exhaust_offset_k = 0.0;
    double exhaust_lambda_k_per_unit = 500.0;
    double exhaust_spark_k_per_deg = 8.0;
    double metal_lag_s = 6.0;
    double probe_lag_s = 1.2;
    // fuel and sensors
    double meter_gain = 1.0;
    double injector_gain = 1.0;
    double lambda_delay_s = 0.020;     // a of a + b / exhaust flow
    double lambda_volume_kg = 0.0040;  // b
    double lambda_lag_s = 0.060;
    double torque_model_factor = 1.0;  // of the control unit's own estimate
};

/// What differs from run to run on the same car.
struct Day {
    double ambient_temp_c = 20.0;
    double ambient_pressure_kpa = 99.5;
    double run_effect_deg = 0.0;  // on borderline spark: fuel batch, humidity, heat soak
    double wind_m_s = 0.0;        // head wind positive
    double slope_pct = 0.0;
    double battery_v = 14.1;
};

Hidden draw_hidden(Variety variety, int cylinders, std::uint64_t car_seed);
Day draw_day(const Site& site, std::uint64_t run_seed);

/// Barometer at an altitude, kPa. Source: ISO 2533, troposphere.
double standard_pressure_kpa(double altitude_m);

}  // namespace revwright::rig
