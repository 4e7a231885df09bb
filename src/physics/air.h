#pragma once

#include <optional>

#include "core/quantity.h"

namespace revwright {

/// Specific gas constant of dry air, 287.05287 J/(kg K). Source: [ISO2533], primary constants.
inline constexpr SpecificGasConstant kDryAir{287.05287};
/// Specific gas constant of water vapour, R / M = 8.314462618 / 0.01801528 J/(kg K). Sources: R [CODATA2018],
/// M [Picard2008].
inline constexpr SpecificGasConstant kWaterVapour{8.314462618 / 0.01801528};

/// Height above sea level as a map or satellite receiver gives it.
struct GeometricAltitude {
    Length value;
};
/// Height scaled so that gravity is constant; the standard atmosphere is defined on it.
struct GeopotentialAltitude {
    Length value;
};
/// H = r Z / (r + Z), r = 6 356 766 m. Source: [ISO2533].
GeopotentialAltitude geopotential(GeometricAltitude altitude);

struct AirState {
    AbsolutePressure pressure;
    Temperature temperature;
    Density density;
};

/// Standard atmosphere: T = 288.15 K - 6.5 K/km H, p = 101325 Pa (T / 288.15 K)^(g / (R L)), rho = p / (R T).
///
/// Dry air. Source: [ISO2533]. Holds from -5 km to 11 km geopotential altitude; nothing outside.
std::optional<AirState> standard_atmosphere(GeopotentialAltitude altitude);
std::optional<AirState> standard_atmosphere(GeometricAltitude altitude);

/// Density of dry air as an ideal gas: rho = p / (R T).
///
/// p  absolute pressure          t  absolute temperature
/// Source: [ISO2533]. Real air is about 0.1 % off at 400 kPa and 300 K, and closer below.
constexpr Density dry_air_density(AbsolutePressure p, Temperature t) { return p.value / (kDryAir * t); }

/// 0 = dry, 1 = saturated.
struct RelativeHumidity {
    double value;
};

/// Pressure of water vapour over liquid water at saturation.
///
/// ln(p / pc) = (Tc / T) sum a_i (1 - T / Tc)^n_i. Source: [WagnerPruss2002] eq. 2.5. Holds from 273.16 K to
/// 647.096 K; below freezing it is the curve over supercooled water, carried on.
Pressure saturation_vapour_pressure(Temperature t);

/// Density of moist air as two ideal gases: rho = (p - e) / (R_air T) + e / (R_water T), e = humidity * saturation.
///
/// Source: Dalton's law with [ISO2533] and [WagnerPruss2002]. 0.03 to 0.07 % below CIPM-2007 [Picard2008] at
/// atmospheric conditions. Precondition: vapour pressure below p.
Density moist_air_density(AbsolutePressure p, Temperature t, RelativeHumidity humidity);

/// Cylinder filled at the density of the intake manifold = 1.
struct VolumetricEfficiency {
    double value;
};

/// Air trapped in one cylinder in one cycle: m = eta_v * rho * V (speed-density).
///
/// eta_v  referred to manifold density, not ambient      swept  swept volume of one cylinder
/// Steady running only. Source: definition of volumetric efficiency, [Heywood1988] (from memory).
constexpr Mass trapped_air(VolumetricEfficiency eta_v, AbsolutePressure p, Temperature t, Volume swept) {
    return eta_v.value * (dry_air_density(p, t) * swept);
}

/// Air of one cylinder in one cycle of a four-stroke engine: m = mdot * 120 / (N * cylinders), N in rpm.
///
/// Precondition: speed and cylinders above 0.
Mass air_per_stroke(MassFlow flow, EngineSpeed speed, int cylinders);
/// The inverse of air_per_stroke.
MassFlow air_mass_flow(Mass per_stroke, EngineSpeed speed, int cylinders);

/// Relative charge in percent: air of one cylinder and cycle against its swept volume filled with dry air at
/// 101.325 kPa and 273.15 K. 100 = filled at that state; a boosted engine goes above.
///
/// Source: the textbook definition of relative charge; the reference state is common practice, no source.
double charge_percent(Mass per_stroke, Volume swept_per_cylinder);
/// The inverse of charge_percent.
Mass air_at_charge(double charge_pct, Volume swept_per_cylinder);

}  // namespace revwright
