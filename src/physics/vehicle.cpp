#include "physics/vehicle.h"

#include <cmath>
#include <numbers>

namespace revwright {

Length tyre_diameter(const Tyre& tyre) {
    return {25.4e-3 * tyre.rim_in + 2.0 * 1e-3 * tyre.width_mm * tyre.aspect_pct / 100.0};
}

Length rolling_circumference(Length tyre_diameter) { return 3.05 * tyre_diameter; }

Length rolling_radius(Length circumference) { return circumference / (2.0 * std::numbers::pi); }

double overall_ratio(EngineSpeed engine, Speed road, Length rolling_circumference) {
    return engine.rpm / 60.0 * rolling_circumference.si / road.si;
}

Speed road_speed(EngineSpeed engine, double overall_ratio, Length rolling_circumference) {
    return {engine.rpm / 60.0 * rolling_circumference.si / overall_ratio};
}

std::optional<GearMatch> nearest_gear(EngineSpeed engine, Speed road, std::span<const double> gear_ratios,
                                      double final_drive, Length rolling_circumference) {
    if (!(engine.rpm > 0.0) || !(road.si > 0.0)) return std::nullopt;
    const double measured = overall_ratio(engine, road, rolling_circumference);
    if (!std::isfinite(measured)) return std::nullopt;
    std::optional<GearMatch> nearest;
    double nearest_distance = 0.0;
    int gear = 0;
    for (const double ratio : gear_ratios) {
        ++gear;
        const double against_nominal = measured / (ratio * final_drive);
        const double distance = std::abs(std::log(against_nominal));
        if (nearest && distance >= nearest_distance) continue;
        nearest = GearMatch{gear, against_nominal - 1.0};
        nearest_distance = distance;
    }
    return nearest;
}

Force resistance(const RoadLoad& load, Speed v) { return load.a + load.b * v + load.c * v * v; }

RoadLoad road_load(Mass mass, double rolling_coefficient, Area drag_area, Density air) {
    return {.a = rolling_coefficient * (mass * kGravity), .b = {}, .c = 0.5 * (air * drag_area)};
}

Force slope_force(Mass mass, double slope) { return std::sin(std::atan(slope)) * (mass * kGravity); }

Mass equivalent_mass(Mass car, RotatingInertia wheel, RotatingInertia engine, double overall_ratio,
                     Length rolling_radius) {
    const Area r2 = rolling_radius * rolling_radius;
    return car + 4.0 * wheel / r2 + overall_ratio * overall_ratio * engine / r2;
}

}  // namespace revwright
