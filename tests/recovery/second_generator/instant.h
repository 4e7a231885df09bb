#pragma once

#include <array>

namespace revwright::second {

inline constexpr double kInstantSeconds = 0.005;
inline constexpr int kMostCylinders = 8;

/// Everything a logger could see of one moment, without its noise. Units as the canonical channels.
struct Instant {
    double t = 0.0;
    // How it is driven.
    int pull = -1;         // which full-load stretch of the script, -1 outside
    double since_s = 0.0;  // since full pedal
    int gear = 0;
    double rpm = 0.0, speed_km_h = 0.0, pedal_pct = 0.0;
    double climb_rpm_s = 0.0;
    bool running = true, fuel_cut = false;
    // What follows from it.
    double throttle_pct = 3.0, ambient_kpa = 100.0, ambient_c = 20.0;
    double boost_kpa = 100.0, boost_target_kpa = 100.0, manifold_kpa = 35.0, duty_pct = 0.0;
    double flow_g_s = 3.0;
    double mixture = 1.0, lambda_target = 1.0, lambda = 1.0;  // burnt, wanted, shown by the probe
    double spark_base_deg = 10.0;
    std::array<double, kMostCylinders> retard_deg{};
    double intake_c = 30.0, coolant_c = 90.0, oil_c = 95.0, gas_c = 400.0, exhaust_c = 400.0;
    double rail_mpa = 8.0, rail_target_mpa = 8.0, low_kpa = 450.0, injector_ms = 1.5;
    double input_rpm = 0.0, gnss_km_h = 0.0;
    double torque_nm = 0.0, request_nm = 0.0;
    double trim_short_pct = 0.0, trim_long_pct = 0.0, battery_v = 14.0;
    double misfires = 0.0;
};

}  // namespace revwright::second
