#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "model/job.h"

namespace revwright::second {

enum class CarKind { turbo_direct, turbo_port, naturally_aspirated };
inline constexpr int kCarKinds = 3;
std::string_view to_string(CarKind kind);

/// The weather and what the car was doing before.
struct Weather {
    double ambient_c = 20.0;
    double ambient_kpa = 100.0;
};

/// A car as its traces look from outside, each figure by chance within what healthy cars show.
struct TraceCar {
    CarKind kind = CarKind::turbo_direct;
    JobSheet job;
    Weather weather;
    bool dyno = false;  // inertia dynamometer: no satellite speed, no wind
    int pull_gear = 3;
    double idle_rpm = 800.0;
    double from_rpm = 1900.0, to_rpm = 6200.0;  // of a pull
    double peak_nm = 300.0;
    double boost_gauge_kpa = 90.0;  // plateau of the target over ambient
    double boost_taper_kpa = 20.0;  // less of it at the highest speed
    double spool_rpm = 2100.0;      // where half of the boost can be made
    double boost_hz = 0.7;          // how fast boost follows
    double boost_damping = 0.75;
    double target_step_kpa = 0.0;  // a healthy step of the target ...
    double target_step_rpm = 4000.0;
    double filling = 0.90;                          // of the cylinders at manifold density
    double lambda_start = 0.88, lambda_end = 0.82;  // target at full load, low and high speed
    double enrich_s = 0.4;                          // ramp into it
    double mixture_error = 0.004;
    double probe_fixed_s = 0.04, probe_flow_s = 5.0, probe_lag_s = 0.08;  // delay = fixed + flow_s / flow
    double spark_low = 8.0, spark_high = 22.0;
    double intake_over_c = 12.0, intake_gain_c = 10.0;  // at cruise over ambient, and through a pull
    double coolant_c = 92.0, oil_c = 98.0;
    double gas_c = 830.0;  // exhaust at full load, settled
    double thermocouple_s = 1.3;
    double rail_full_mpa = 18.0;
    double low_kpa = 450.0;
    double injector_full = 0.7;  // share of what there is room for, at the highest speed
    double duty_steady_pct = 58.0;
    double battery_v = 14.1;
    double trim_long_pct = 1.0;
    bool automatic = false;  // gearbox input speed is logged
};

TraceCar trace_car(CarKind kind, std::uint64_t seed);

}  // namespace revwright::second
