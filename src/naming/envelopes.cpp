#include "naming/envelopes.h"

#include <algorithm>

namespace revwright {
namespace {

using enum Signal;

// clang-format off
constexpr SignalEnvelope kEnvelopes[] = {
    // signal                 units tried              lowest  highest  typical top     at idle
    {engine_speed_rpm,        "rpm 1/s",                  0.0, 20000.0,  600.0, 12000.0,   0.0,    0.0},
    {pedal_pct,               "% 1",                     -5.0,   130.0,    5.0,   130.0,   0.0,    0.0},
    {throttle_pct,            "% 1",                     -5.0,   130.0,    5.0,   130.0,   0.0,    0.0},
    {manifold_pressure_kpa,   "kPa hPa bar psi",          2.0,   450.0,   60.0,   350.0,  12.0,   75.0},
    {boost_pressure_kpa,      "kPa hPa bar psi",         40.0,   450.0,  115.0,   350.0,  60.0,  130.0},
    {boost_target_kpa,        "kPa hPa bar psi",          2.0,   450.0,  115.0,   350.0,   0.0,    0.0},
    {ambient_pressure_kpa,    "kPa hPa bar psi",         55.0,   110.0,   70.0,   106.0,   0.0,    0.0},
    {ambient_temp_c,          "C F",                    -45.0,    60.0,  -10.0,    42.0,   0.0,    0.0},
    {air_mass_flow_g_s,       "g/s kg/h",                -5.0,   700.0,    5.0,   500.0,   1.4,    6.0},
    {charge_pct,              "% 1",                     -5.0,   450.0,   10.0,   300.0,   0.0,    0.0},
    {air_per_stroke_mg,       "mg g",                    -5.0,  3000.0,  100.0,  2500.0,   0.0,    0.0},
    {lambda,                  "1",                        0.3,    70.0,    0.7,    70.0,   0.0,    0.0},
    {lambda_target,           "1",                        0.4,    40.0,    0.7,    40.0,   0.0,    0.0},
    {spark_deg,               "deg",                    -70.0,    70.0,    5.0,    60.0,   0.0,    0.0},
    {spark_base_deg,          "deg",                    -70.0,    70.0,    5.0,    60.0,   0.0,    0.0},
    {knock_retard_deg,        "deg",                    -30.0,    30.0,  -30.0,    30.0,   0.0,    0.0},
    {intake_temp_c,           "C F",                    -45.0,   200.0,  -15.0,    90.0,   0.0,    0.0},
    {coolant_temp_c,          "C F",                    -45.0,   160.0,   60.0,   125.0,   0.0,    0.0},
    {oil_temp_c,              "C F",                    -45.0,   200.0,   60.0,   150.0,   0.0,    0.0},
    {exhaust_temp_c,          "C F",                    -45.0,  1300.0,  250.0,  1080.0,   0.0,    0.0},
    {exhaust_temp_modelled_c, "C F",                    -45.0,  1300.0,  250.0,  1080.0,   0.0,    0.0},
    {exhaust_pressure_kpa,    "kPa hPa bar psi",         50.0,   800.0,  105.0,   500.0,  80.0,  125.0},
    {turbo_speed_rpm,         "rpm",                      0.0, 400000.0, 30000.0, 350000.0, 0.0,   0.0},
    {rail_pressure_mpa,       "MPa bar kPa psi",         -0.2,    60.0,    3.0,    45.0,   0.0,    0.0},
    {rail_pressure_target_mpa, "MPa bar kPa psi",        -0.2,    60.0,    3.0,    45.0,   0.0,    0.0},
    {fuel_pressure_low_kpa,   "kPa bar psi",            -10.0,  1500.0,  200.0,   900.0,   0.0,    0.0},
    {injector_time_ms,        "ms us",                   -0.5,    60.0,    1.0,    40.0,   0.0,    0.0},
    {wastegate_duty_pct,      "% 1",                     -5.0,   105.0,    5.0,   105.0,   0.0,    0.0},
    {vehicle_speed_km_h,      "km/h mph",                -2.0,   400.0,    5.0,   350.0,   0.0,    0.0},
    {gnss_speed_km_h,         "km/h mph",                -2.0,   400.0,    5.0,   350.0,   0.0,    0.0},
    {heading_deg,             "deg",                   -180.0,   360.0, -180.0,   360.0,   0.0,    0.0},
    {altitude_m,              "m ft",                  -450.0,  6000.0, -450.0,  6000.0,   0.0,    0.0},
    {gear,                    "1",                       -1.0,    12.0,    1.0,    10.0,   0.0,    0.0},
    {gearbox_input_rpm,       "rpm",                      0.0, 15000.0,  600.0, 12000.0,   0.0,    0.0},
    {torque_nm,               "Nm lbf.ft",             -600.0,  2500.0,   50.0,  1500.0,   0.0,    0.0},
    {torque_request_nm,       "Nm lbf.ft",             -600.0,  2500.0,   50.0,  1500.0,   0.0,    0.0},
    {dyno_torque_nm,          "Nm lbf.ft",             -600.0,  9000.0,   50.0,  9000.0,   0.0,    0.0},
    {trim_short_pct,          "%",                     -100.0,   100.0,  -50.0,    50.0,   0.0,    0.0},
    {trim_long_pct,           "%",                     -100.0,   100.0,  -50.0,    50.0,   0.0,    0.0},
    {battery_v,               "V mV",                     3.0,    18.0,   11.0,    16.0,   0.0,    0.0},
    {misfire_count,           "1",                        0.0, 65535.0,    0.0, 65535.0,   0.0,    0.0},
};
// clang-format on

}  // namespace

const SignalEnvelope* envelope_of(Signal signal) {
    const auto* row = std::ranges::find(kEnvelopes, signal, &SignalEnvelope::signal);
    return row == std::end(kEnvelopes) ? nullptr : row;
}

}  // namespace revwright
