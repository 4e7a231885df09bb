#include "model/channel.h"

#include <algorithm>
#include <array>
#include <charconv>

namespace revwright {
namespace {

constexpr int kMostCylinders = 16;
constexpr int kMostBanks = 2;

constexpr std::array kSignals{
    SignalInfo{Signal::time_s, "time_s", "s", 0},
    SignalInfo{Signal::engine_speed_rpm, "engine_speed_rpm", "rpm", 0},
    SignalInfo{Signal::pedal_pct, "pedal_pct", "%", 0},
    SignalInfo{Signal::throttle_pct, "throttle_pct", "%", 0},
    SignalInfo{Signal::manifold_pressure_kpa, "manifold_pressure_kpa", "kPa", 0},
    SignalInfo{Signal::boost_pressure_kpa, "boost_pressure_kpa", "kPa", 0},
    SignalInfo{Signal::boost_target_kpa, "boost_target_kpa", "kPa", 0},
    SignalInfo{Signal::ambient_pressure_kpa, "ambient_pressure_kpa", "kPa", 0},
    SignalInfo{Signal::ambient_temp_c, "ambient_temp_c", "C", 0},
    SignalInfo{Signal::air_mass_flow_g_s, "air_mass_flow_g_s", "g/s", 0},
    SignalInfo{Signal::charge_pct, "charge_pct", "%", 0},
    SignalInfo{Signal::air_per_stroke_mg, "air_per_stroke_mg", "mg", 0},
    SignalInfo{Signal::lambda, "lambda", "1", kMostBanks},
    SignalInfo{Signal::lambda_target, "lambda_target", "1", 0},
    SignalInfo{Signal::spark_deg, "spark_deg", "deg", 0},
    SignalInfo{Signal::spark_base_deg, "spark_base_deg", "deg", 0},
    SignalInfo{Signal::knock_retard_deg, "knock_retard_deg", "deg", kMostCylinders},
    SignalInfo{Signal::intake_temp_c, "intake_temp_c", "C", 0},
    SignalInfo{Signal::coolant_temp_c, "coolant_temp_c", "C", 0},
    SignalInfo{Signal::oil_temp_c, "oil_temp_c", "C", 0},
    SignalInfo{Signal::exhaust_temp_c, "exhaust_temp_c", "C", 0},
    SignalInfo{Signal::exhaust_temp_modelled_c, "exhaust_temp_modelled_c", "C", 0},
    SignalInfo{Signal::exhaust_pressure_kpa, "exhaust_pressure_kpa", "kPa", 0},
    SignalInfo{Signal::turbo_speed_rpm, "turbo_speed_rpm", "rpm", 0},
    SignalInfo{Signal::rail_pressure_mpa, "rail_pressure_mpa", "MPa", 0},
    SignalInfo{Signal::rail_pressure_target_mpa, "rail_pressure_target_mpa", "MPa", 0},
    SignalInfo{Signal::fuel_pressure_low_kpa, "fuel_pressure_low_kpa", "kPa", 0},
    SignalInfo{Signal::injector_time_ms, "injector_time_ms", "ms", 0},
    SignalInfo{Signal::wastegate_duty_pct, "wastegate_duty_pct", "%", 0},
    SignalInfo{Signal::vehicle_speed_km_h, "vehicle_speed_km_h", "km/h", 0},
    SignalInfo{Signal::gnss_speed_km_h, "gnss_speed_km_h", "km/h", 0},
    SignalInfo{Signal::heading_deg, "heading_deg", "deg", 0},
    SignalInfo{Signal::altitude_m, "altitude_m", "m", 0},
    SignalInfo{Signal::gear, "gear", "1", 0},
    SignalInfo{Signal::gearbox_input_rpm, "gearbox_input_rpm", "rpm", 0},
    SignalInfo{Signal::torque_nm, "torque_nm", "Nm", 0},
    SignalInfo{Signal::torque_request_nm, "torque_request_nm", "Nm", 0},
    SignalInfo{Signal::dyno_torque_nm, "dyno_torque_nm", "Nm", 0},
    SignalInfo{Signal::trim_short_pct, "trim_short_pct", "%", 0},
    SignalInfo{Signal::trim_long_pct, "trim_long_pct", "%", 0},
    SignalInfo{Signal::battery_v, "battery_v", "V", 0},
    SignalInfo{Signal::misfire_count, "misfire_count", "1", kMostCylinders},
};

constexpr bool rows_follow_the_enumeration() {
    for (std::size_t i = 0; i < kSignals.size(); ++i)
        if (kSignals[i].signal != static_cast<Signal>(i)) return false;
    return true;
}
static_assert(rows_follow_the_enumeration());

}  // namespace

std::span<const SignalInfo> all_signals() { return kSignals; }

const SignalInfo& info(Signal signal) { return kSignals[static_cast<std::size_t>(signal)]; }

std::string to_string(ChannelKey key) {
    std::string name(info(key.signal).name);
    if (key.part > 0) {  // appended in two steps: g++ 12 warns wrongly of "." + string
        name += '.';
        name += std::to_string(key.part);
    }
    return name;
}

std::optional<ChannelKey> channel_key(std::string_view canonical_name) {
    const std::size_t dot = canonical_name.find('.');
    const auto* row = std::ranges::find(kSignals, canonical_name.substr(0, dot), &SignalInfo::name);
    if (row == kSignals.end()) return std::nullopt;
    if (dot == std::string_view::npos) return ChannelKey{row->signal, 0};
    const std::string_view suffix = canonical_name.substr(dot + 1);
    int part = 0;
    const auto [end, error] = std::from_chars(suffix.data(), suffix.data() + suffix.size(), part);
    const bool whole = error == std::errc{} && end == suffix.data() + suffix.size() && suffix.front() != '0';
    if (!whole || part < 1 || part > row->parts) return std::nullopt;
    return ChannelKey{row->signal, part};
}

}  // namespace revwright
