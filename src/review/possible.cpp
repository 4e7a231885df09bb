#include "review/possible.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

namespace revwright {
namespace {

struct Possible {
    Signal signal;
    double low, high;
};

constexpr Possible kPossible[] = {
    {Signal::engine_speed_rpm, 0.0, 15'000.0},
    {Signal::pedal_pct, -20.0, 150.0},
    {Signal::throttle_pct, -20.0, 150.0},
    {Signal::manifold_pressure_kpa, 1.0, 1'000.0},
    {Signal::boost_pressure_kpa, 1.0, 1'000.0},
    {Signal::boost_target_kpa, 1.0, 1'000.0},
    {Signal::ambient_pressure_kpa, 1.0, 120.0},
    {Signal::ambient_temp_c, -60.0, 90.0},
    {Signal::air_mass_flow_g_s, -200.0, 4'000.0},
    {Signal::lambda, 0.3, 1'000.0},
    {Signal::lambda_target, 0.3, 1'000.0},
    {Signal::intake_temp_c, -60.0, 300.0},
    {Signal::coolant_temp_c, -60.0, 250.0},
    {Signal::oil_temp_c, -60.0, 250.0},
    {Signal::exhaust_temp_c, -60.0, 1'700.0},
    {Signal::exhaust_pressure_kpa, 1.0, 2'000.0},
    {Signal::rail_pressure_mpa, 0.0, 400.0},
    {Signal::rail_pressure_target_mpa, 0.0, 400.0},
    {Signal::fuel_pressure_low_kpa, 0.0, 3'000.0},
    {Signal::vehicle_speed_km_h, -20.0, 500.0},
    {Signal::battery_v, 1.0, 60.0},
};

constexpr std::array kTemperatures{Signal::ambient_temp_c, Signal::intake_temp_c, Signal::coolant_temp_c,
                                   Signal::oil_temp_c};
constexpr std::array kPressures{Signal::manifold_pressure_kpa, Signal::boost_pressure_kpa, Signal::boost_target_kpa,
                                Signal::ambient_pressure_kpa, Signal::exhaust_pressure_kpa};

bool is_code(Signal signal, double value) {
    constexpr std::array codes{65'535.0, 65'534.0, 32'767.0, -32'768.0, 4'294'967'295.0, 16'383.75, 6'553.5, 655.35};
    if (signal == Signal::engine_speed_rpm && value == 8'191.875) return true;
    return std::ranges::find(codes, value) != codes.end();
}

}  // namespace

ReadingKind reading(Signal signal, double value) {
    const auto* row = std::ranges::find(kPossible, signal, &Possible::signal);
    if (row == std::end(kPossible)) return std::isfinite(value) ? ReadingKind::possible : ReadingKind::impossible;
    const bool coded = is_code(signal, value);
    if (value >= row->low && value <= row->high && !(coded && signal == Signal::engine_speed_rpm))
        return ReadingKind::possible;
    if (coded) return ReadingKind::not_available;
    if (value < 0.0 && std::ranges::find(kPressures, signal) != kPressures.end()) return ReadingKind::negative_pressure;
    return ReadingKind::impossible;
}

bool is_end_of_temperature_code(Signal signal, double value) {
    constexpr std::array ends{-40.0, -48.0, 215.0, 143.25};
    return std::ranges::find(kTemperatures, signal) != kTemperatures.end() &&
           std::ranges::find(ends, value) != ends.end();
}

}  // namespace revwright
