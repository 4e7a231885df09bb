#pragma once

#include <optional>
#include <span>

#include "core/quantity.h"
#include "model/job.h"

namespace revwright {

using Acceleration = Quantity<1, 0, -2, 0>;
using RotatingInertia = Quantity<2, 1, 0, 0>;
using ForcePerSpeed = Quantity<0, 1, -1, 0>;
using ForcePerSpeedSquared = Quantity<-1, 1, 0, 0>;

/// Standard gravity. Source: [ISO2533], primary constants.
inline constexpr Acceleration kGravity{9.80665};

/// Outer diameter of an unloaded tyre: rim + 2 * width * aspect ratio.
///
/// Source: definition of the size marking, [ETRTO] (second hand, [JRC-CO2MPAS]).
Length tyre_diameter(const Tyre& tyre);
/// Way rolled in one turn under load: 3.05 * diameter for radial tyres. Source: [ETRTO] (second hand, [JRC-CO2MPAS]).
/// One tyre differs from another, and from itself when worn, by 1 to 2 % (common practice, no source).
Length rolling_circumference(Length tyre_diameter);
/// circumference / (2 pi): the radius with which wheel speed gives road speed.
Length rolling_radius(Length circumference);

/// Turns of the engine per turn of the wheel. Precondition: road speed above 0.
double overall_ratio(EngineSpeed engine, Speed road, Length rolling_circumference);
/// Road speed without slip. Precondition: overall ratio above 0.
Speed road_speed(EngineSpeed engine, double overall_ratio, Length rolling_circumference);

struct GearMatch {
    int gear = 0;  // counted from 1
    double relative_error =
        0.0;  // measured over nominal ratio, less 1; positive = engine turns faster than the gear says
};

/// The gear whose nominal ratio is nearest (by ratio) to engine speed over wheel speed; nothing at standstill, with the
/// engine stopped, or without a gear. The caller decides how large an error is still that gear.
std::optional<GearMatch> nearest_gear(EngineSpeed engine, Speed road, std::span<const double> gear_ratios,
                                      double final_drive, Length rolling_circumference);

/// Resistance on the level: F = a + b v + c v^2. Form: [CFR1066.210].
struct RoadLoad {
    Force a = {};
    ForcePerSpeed b = {};
    ForcePerSpeedSquared c = {};
};
Force resistance(const RoadLoad& load, Speed v);

/// a = rolling coefficient * m * g, c = rho / 2 * drag area. Still air; the rolling coefficient is taken as constant.
RoadLoad road_load(Mass mass, double rolling_coefficient, Area drag_area, Density air);

/// Force that pulls the car back on a slope: m g sin(atan(slope)); slope 0.05 = 5 % uphill, negative downhill.
/// Source: [CFR1066.210].
Force slope_force(Mass mass, double slope);

/// Mass that a wheel force accelerates: m + 4 Jw / r^2 + Je * (overall ratio / r)^2 (gearbox shafts neglected).
///
/// wheel   of each of four wheels       engine  crankshaft side: flywheel and clutch
/// Source: kinetic energy of the parts, [Gillespie1992] (from memory).
Mass equivalent_mass(Mass car, RotatingInertia wheel, RotatingInertia engine, double overall_ratio,
                     Length rolling_radius);

}  // namespace revwright
