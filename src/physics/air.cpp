#include "physics/air.h"

#include <cmath>

namespace revwright {
namespace {

// [ISO2533], primary constants and the troposphere.
constexpr double kEarthRadius_m = 6356766.0;
constexpr double kGravity = 9.80665;
constexpr double kLapse_k_per_m = 0.0065;
constexpr Temperature kSeaLevelTemperature{288.15};
constexpr Pressure kSeaLevelPressure{101325.0};
constexpr double kLowest_m = -5000.0;
constexpr double kTropopause_m = 11000.0;

// Reference state of relative charge.
constexpr Density kChargeReference = dry_air_density({Pressure{101325.0}}, Temperature{273.15});

}  // namespace

GeopotentialAltitude geopotential(GeometricAltitude altitude) {
    const double z = altitude.value.si;
    return {Length{kEarthRadius_m * z / (kEarthRadius_m + z)}};
}

std::optional<AirState> standard_atmosphere(GeopotentialAltitude altitude) {
    const double h = altitude.value.si;
    if (!(h >= kLowest_m && h <= kTropopause_m)) return std::nullopt;
    const Temperature t{kSeaLevelTemperature.si - kLapse_k_per_m * h};
    const double exponent = kGravity / (kDryAir.si * kLapse_k_per_m);
    const AbsolutePressure p{kSeaLevelPressure * std::pow(t / kSeaLevelTemperature, exponent)};
    return AirState{p, t, dry_air_density(p, t)};
}

std::optional<AirState> standard_atmosphere(GeometricAltitude altitude) {
    return standard_atmosphere(geopotential(altitude));
}

Pressure saturation_vapour_pressure(Temperature t) {
    constexpr double kCriticalTemperature = 647.096, kCriticalPressure = 22.064e6;
    const double v = 1.0 - t.si / kCriticalTemperature;
    // Below 273.16 K the same sum is carried on; above the critical point v would be negative and has no meaning.
    const double sum = -7.85951783 * v + 1.84408259 * std::pow(v, 1.5) - 11.7866497 * std::pow(v, 3.0) +
                       22.6807411 * std::pow(v, 3.5) - 15.9618719 * std::pow(v, 4.0) + 1.80122502 * std::pow(v, 7.5);
    return {kCriticalPressure * std::exp(kCriticalTemperature / t.si * sum)};
}

Density moist_air_density(AbsolutePressure p, Temperature t, RelativeHumidity humidity) {
    const Pressure vapour = humidity.value * saturation_vapour_pressure(t);
    return dry_air_density({p.value - vapour}, t) + vapour / (kWaterVapour * t);
}

Mass air_per_stroke(MassFlow flow, EngineSpeed speed, int cylinders) {
    return {flow.si * 120.0 / (speed.rpm * cylinders)};
}

MassFlow air_mass_flow(Mass per_stroke, EngineSpeed speed, int cylinders) {
    return {per_stroke.si * speed.rpm * cylinders / 120.0};
}

double charge_percent(Mass per_stroke, Volume swept_per_cylinder) {
    return 100.0 * (per_stroke / (kChargeReference * swept_per_cylinder));
}

Mass air_at_charge(double charge_pct, Volume swept_per_cylinder) {
    return charge_pct / 100.0 * (kChargeReference * swept_per_cylinder);
}

}  // namespace revwright
