#pragma once

#include <array>

#include "rig/hidden.h"

namespace revwright::rig {

/// What the driver is at, for the truth beside the log.
enum class Mark { none, full, part, lift, flat_shift };
enum class Slip { none, wheel, clutch };

/// The true state at one sample of the log; values named `seen` have passed a sensor's delay and lag, not its noise.
struct Moment {
    double time_s = 0.0;
    double rpm = 0.0;
    double pedal_pct = 0.0;
    double throttle_pct = 0.0;
    double manifold_kpa = 0.0;
    double boost_kpa = 0.0;
    double boost_target_kpa = 0.0;
    double ambient_kpa = 0.0;
    double ambient_c = 0.0;
    double air_measured_g_s = 0.0;
    double charge_measured_pct = 0.0;
    double charge_pct = 0.0;
    double lambda = 1.0;
    double lambda_seen = 1.0;
    double lambda_target = 1.0;
    double spark_base_deg = 0.0;
    std::array<double, kMostCylinders> retard_deg{};
    double mean_retard_deg = 0.0;
    double borderline_deg = 0.0;  // worst cylinder, run effect left out
    double best_torque_deg = 0.0;
    double charge_temp_c = 0.0;
    double charge_temp_seen_c = 0.0;
    double coolant_c = 0.0;
    double oil_c = 0.0;
    double exhaust_settled_c = 0.0;
    double exhaust_seen_c = 0.0;
    double rail_mpa = 0.0;
    double rail_target_mpa = 0.0;
    double low_pressure_kpa = 0.0;
    double injector_ms = 0.0;
    double wastegate_pct = 0.0;
    double speed_m_s = 0.0;
    int gear = 0;
    double torque_nm = 0.0;
    double torque_estimate_nm = 0.0;
    double torque_request_nm = 0.0;
    double trim_short_pct = 0.0;
    double trim_long_pct = 0.0;
    double battery_v = 14.1;
    double misfires = 0.0;  // since the start
    bool clutch_open = true;
    bool intervention = false;
    Slip slip = Slip::none;
    Mark mark = Mark::none;
    int segment = 0;
};

}  // namespace revwright::rig
