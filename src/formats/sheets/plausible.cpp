#include "formats/sheets/plausible.h"

#include <algorithm>
#include <array>
#include <cassert>

namespace revwright::sheets {
namespace {

// Our own plausibility ranges, no source: wide enough for any petrol road car, narrow enough to catch a slipped decimal
// point or a wrong unit. They are not limits of the engine; those are in model/limits.h.
constexpr std::array kRanges{
    Range{"goal.torque_nm", 20, 3000},
    Range{"goal.power_kw", 10, 2000},
    Range{"site.altitude_m", -450, 5500},
    Range{"site.slope_pct", -30, 30},
    Range{"worst_day.ambient_temp_c", -40, 60},
    Range{"worst_day.ron", 60, 120},
    Range{"worst_day.altitude_m", -450, 5500},
    Range{"worst_day.retard_allowed_deg", 0, 15},

    Range{"car.mass_kg", 300, 6000},
    Range{"car.mass_sd_kg", 0, 500},
    Range{"car.drag_area_m2", 0.2, 3},
    Range{"car.drag_area_sd_m2", 0, 1},
    Range{"car.rolling_coefficient", 0.003, 0.05},
    Range{"car.gear_ratios", 0.2, 8},
    Range{"car.final_drive", 0.5, 10},
    Range{"car.wheel_inertia_kg_m2", 0.1, 10},
    Range{"car.driveline_loss_fraction", 0, 0.4},
    Range{"car.gearbox_torque_nm", 20, 5000},
    Range{"car.clutch_torque_nm", 20, 5000},
    Range{"car.rolling_circumference_m", 1, 4},
    Range{"car.coastdown.a_n", 0, 2000},
    Range{"car.coastdown.b_n_per_m_s", -50, 100},
    Range{"car.coastdown.c_n_per_m2_s2", 0, 5},

    Range{"engine.displacement_cm3", 100, 10000},
    Range{"engine.cylinders", 1, 16},
    Range{"engine.bore_mm", 30, 150},
    Range{"engine.stroke_mm", 30, 150},
    Range{"engine.rod_mm", 50, 300},
    Range{"engine.compression_ratio", 5, 20},
    Range{"engine.inertia_kg_m2", 0.01, 2},
    Range{"engine.max_speed_rpm", 2000, 20000},
    Range{"engine.torque_max_nm", 20, 3000},
    Range{"engine.peak_pressure_mpa", 2, 30},

    Range{"fuel.ron", 60, 120},
    Range{"fuel.ethanol_fraction", 0, 1},

    Range{"hardware.pressure_drop_kpa", 0, 150},
    Range{"hardware.at_kg_s", 0.001, 3},
    Range{"hardware.at_temp_c", -40, 1200},
    Range{"hardware.bore_mm", 20, 200},
    Range{"hardware.effectiveness", 0, 1},
    Range{"hardware.reference_temp_k", 250, 350},
    Range{"hardware.reference_pressure_kpa", 80, 110},
    Range{"hardware.max_speed_rpm", 20000, 400000},
    Range{"hardware.flow_g_s", 0.1, 500},
    Range{"hardware.at_pressure_mpa", 0.1, 100},

    Range{"run.roller_inertia_kg_m2", 0.1, 10000},
    Range{"run.slope_pct", -30, 30},
    Range{"run.occupants_kg", 0, 1000},
    Range{"run.ambient_temp_c", -40, 60},
    Range{"run.ambient_pressure_kpa", 45, 110},
    Range{"run.humidity_pct", 0, 100},
    Range{"run.ron", 60, 120},

    Range{"policy.first_spark_step_deg", 0, 5},
    Range{"policy.spark_step_deg", 0, 5},
    Range{"policy.spark_total_deg", 0, 30},
    Range{"policy.knock_margin_deg", 0, 10},
    Range{"policy.boost_step_kpa", 0, 50},
    Range{"policy.boost_total_kpa", 0, 200},
    Range{"policy.lambda_step", 0, 0.2},
    Range{"policy.pulls_needed", 1, 50},
    Range{"policy.events_needed", 1, 100000},
    Range{"policy.knock_rate_max", 0, 0.2},
    Range{"policy.sigma", 0.5, 6},
    Range{"policy.low_speed_rpm", 0, 6000},

    Range{"limits.lambda_max", 0.6, 1.2},
    Range{"limits.lambda_follow", 0.001, 0.3},
    Range{"limits.knock", 0.5, 20},
    Range{"limits.fuel_pressure_drop_pct", 0.5, 60},
    Range{"limits.injector_duty_pct", 10, 100},
    Range{"limits.injection_window_pct", 10, 150},
    Range{"limits.exhaust_temp_c", 500, 1200},
    Range{"limits.boost_overshoot_kpa", 0.5, 100},
    Range{"limits.boost_steady_kpa", 0.5, 100},
    Range{"limits.boost_oscillation_kpa", 0.5, 100},
    Range{"limits.throttle_open_pct", 10, 100},
    Range{"limits.intake_temp_c", 10, 150},
    Range{"limits.intake_rise_k", 1, 150},
    Range{"limits.coolant_temp_c", 60, 150},
    Range{"limits.oil_temp_c", 60, 180},
    Range{"limits.compressor_speed_pct", 10, 120},
    Range{"limits.compressor_surge_margin_pct", -20, 60},
    Range{"limits.compressor_choke_pct", 50, 120},
    Range{"limits.battery_v", 9, 16},
    Range{"limits.fuel_trim_pct", 1, 40},
    Range{"limits.air_consistency_pct", 0.5, 50},
    Range{"limits.sensor_range_pct", 50, 100},
    Range{"limits.wastegate_duty_pct", 10, 100},
    Range{"limits.torque_intervention", 0, 1000},
    Range{"limits.gear_slip_rpm", 1, 1000},
    Range{"limits.shift_time_s", 0.01, 5},
    Range{"limits.torque_capacity_pct", 10, 150},
    Range{"limits.misfire_pct", 0.01, 20},
    Range{"limits.cold_start_lambda_max", 1, 1.5},
    Range{"limits.cold_start_lambda_min", 0.5, 1},
    Range{"limits.tyre_speed_pct", 50, 110},

    Range{"tyre.width_mm", 105, 455},
    Range{"tyre.aspect_pct", 20, 95},
    Range{"tyre.rim_in", 8, 26},
    Range{"tyre.load_index", 20, 150},
};

}  // namespace

const Range& plausible(std::string_view name) {
    const auto* found = std::ranges::find(kRanges, name, &Range::name);
    assert(found != kRanges.end());
    return *found;
}

}  // namespace revwright::sheets
