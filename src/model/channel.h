#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace revwright {

/// The canonical channels of the contract. An enumerator is spelled exactly as the channel, unit included, and samples
/// of a channel are always held in that unit: what a user reads in a file is what the code computes with.
/// Signs: spark is positive before top dead centre, knock retard is never negative, pressure is absolute.
enum class Signal : std::uint8_t {
    time_s,
    engine_speed_rpm,
    pedal_pct,
    throttle_pct,
    manifold_pressure_kpa,
    boost_pressure_kpa,
    boost_target_kpa,
    ambient_pressure_kpa,
    ambient_temp_c,
    air_mass_flow_g_s,
    charge_pct,
    air_per_stroke_mg,
    lambda,
    lambda_target,
    spark_deg,
    spark_base_deg,
    knock_retard_deg,
    intake_temp_c,
    coolant_temp_c,
    oil_temp_c,
    exhaust_temp_c,
    exhaust_temp_modelled_c,
    exhaust_pressure_kpa,
    turbo_speed_rpm,
    rail_pressure_mpa,
    rail_pressure_target_mpa,
    fuel_pressure_low_kpa,
    injector_time_ms,
    wastegate_duty_pct,
    vehicle_speed_km_h,
    gnss_speed_km_h,
    heading_deg,
    altitude_m,
    gear,
    gearbox_input_rpm,
    torque_nm,
    torque_request_nm,
    dyno_torque_nm,
    trim_short_pct,
    trim_long_pct,
    battery_v,
    misfire_count,  // misfires since the engine was started; with a suffix of that cylinder
};

/// One channel of ours: a signal, and for lambda which bank (1, 2), for knock retard which cylinder (1..N).
/// part 0 = no suffix: the whole engine, or a cylinder that the log does not name.
struct ChannelKey {
    Signal signal = Signal::time_s;
    int part = 0;
    friend constexpr auto operator<=>(ChannelKey, ChannelKey) = default;
};

struct SignalInfo {
    Signal signal;
    std::string_view name;  // canonical, without suffix
    std::string_view unit;  // as revwright's unit table writes it; "1" for a plain number
    int parts;              // highest suffix allowed, 0 = none
};

/// One row per signal, in the order of the enumeration.
std::span<const SignalInfo> all_signals();
const SignalInfo& info(Signal signal);

/// "knock_retard_deg.2" and back; nothing for a name that is not canonical.
std::string to_string(ChannelKey key);
std::optional<ChannelKey> channel_key(std::string_view canonical_name);

}  // namespace revwright
