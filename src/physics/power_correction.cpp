#include "physics/power_correction.h"

#include <cmath>

namespace revwright {
namespace {

constexpr double kReferencePa = 99e3;
// Both standards count kelvins from 273 and take 298 for 25 C: 1.4e-5 beside the exact ones at 95 kPa and 35 C.
constexpr double kStandardZero = 0.15, kReferenceKelvin = 298.0;

double temperature_ratio(const TestAir& air) { return (air.temperature.si - kStandardZero) / kReferenceKelvin; }
double pressure_ratio(const TestAir& air) { return kReferencePa / dry_pressure(air).value.si; }
bool between(double x, double low, double high) { return x >= low && x <= high; }

}  // namespace

AbsolutePressure dry_pressure(const TestAir& air) {
    if (!air.humidity) return air.pressure;
    return {air.pressure.value - air.humidity->value * saturation_vapour_pressure(air.temperature)};
}

PowerCorrection iso_1585(const TestAir& air) {
    const double factor = std::pow(pressure_ratio(air), 1.2) * std::pow(temperature_ratio(air), 0.6);
    return {factor, between(factor, 0.93, 1.07)};
}

PowerCorrection sae_j1349(const TestAir& air) {
    const double factor = 1.18 * pressure_ratio(air) * std::sqrt(temperature_ratio(air)) - 0.18;
    const double dry_kpa = dry_pressure(air).value.si / 1e3, t_c = air.temperature.si - 273.15;
    return {factor, between(factor, 0.97, 1.03) && between(t_c, 15.0, 35.0) && between(dry_kpa, 90.0, 105.0)};
}

}  // namespace revwright
