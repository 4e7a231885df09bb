#include "power/road_knowledge.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "physics/vehicle.h"

namespace revwright {
namespace {

// Standard deviations that no sheet states; common practice, no source.
constexpr double kMassSdKg = 30.0;
constexpr double kStatedCircumferenceSd = 0.007, kTyreCircumferenceSd = 0.012;  // share
constexpr double kEfficiencySd = 0.015;
constexpr double kRollingSd = 0.12;                                     // share; from a coefficient
constexpr double kCoastdownRollingSd = 0.04, kCoastdownDragSd = 0.03;   // shares; from a coastdown
constexpr double kEngineInertiaSd = 0.2;                                // share
constexpr double kReferenceDensity = 100'000.0 / (287.05287 * 293.15);  // of a coastdown as the sheet states it
constexpr double kUsualAirC = 20.0;

bool states_circumference(const JobSheet& job) {
    const double of_tyre = rolling_circumference(tyre_diameter(job.car.tyre)).si;
    return std::abs(job.car.rolling_circumference_m - of_tyre) > 1e-9;
}

/// Resistance, from coasting where there is any, else from the sheet.
void know_load(const JobSheet& job, Density air, const std::optional<CoastedRoad>& coasted, RoadCar& known) {
    if (coasted) {
        known.coasted = in_air(*coasted, air);
        const Eigen::Vector3d sd = known.coasted->covariance.diagonal().cwiseSqrt();
        known.a_n = {known.coasted->load[0], sd[0]};
        known.b_n_per_m_per_s = {known.coasted->load[1], sd[1]};
        known.c_n_per_m2_per_s2 = {known.coasted->load[2], sd[2]};
        return;
    }
    const Car& car = job.car;
    const RoadLoad load = told_load(job, air);
    const double rolling_sd = car.coastdown ? kCoastdownRollingSd : kRollingSd;
    const double drag_sd = car.coastdown ? kCoastdownDragSd : car.drag_area_sd_m2.value() / car.drag_area_m2.value();
    known.a_n = {load.a.si, rolling_sd * load.a.si};
    known.b_n_per_m_per_s = {load.b.si, 0.0};
    known.c_n_per_m2_per_s2 = {load.c.si, drag_sd * load.c.si};
}

std::string percent(const Uncertain& figure) { return fmt::format("{:.1f} %", 100.0 * figure.sd / figure.mean); }

}  // namespace

Density air_of(const RunView& run) {
    const auto temperature = run.ambient_temp_c();
    return dry_air_density(AbsolutePressure{Pressure{run.ambient_pressure_kpa().value * 1000.0}},
                           Temperature{(temperature ? temperature->value : kUsualAirC) + 273.15});
}

RoadLoad told_load(const JobSheet& job, Density air) {
    const Car& car = job.car;
    if (!car.coastdown)
        return road_load(Mass{car.mass_kg}, car.rolling_coefficient.value(), Area{car.drag_area_m2.value()}, air);
    return {{car.coastdown->a_n},
            {car.coastdown->b_n_per_m_s},
            {car.coastdown->c_n_per_m2_s2 * air.si / kReferenceDensity}};
}

RoadCar car_of(const JobSheet& job, Density air, double ratio, const std::optional<CoastedRoad>& coasted,
               std::vector<std::string>& assumptions) {
    const Car& car = job.car;
    const double radius = car.rolling_circumference_m / (2.0 * std::numbers::pi);
    const double engine_kg = job.engine.inertia_kg_m2 * std::pow(ratio / radius, 2);
    RoadCar known;
    known.mass_kg = {car.mass_kg, std::hypot(car.mass_sd_kg.value_or(kMassSdKg), kEngineInertiaSd * engine_kg)};
    known.rolling_radius_m = {radius,
                              radius * (states_circumference(job) ? kStatedCircumferenceSd : kTyreCircumferenceSd)};
    known.efficiency = {1.0 - car.driveline_loss_fraction, kEfficiencySd};
    known.wheel_inertia_kg_m2 = car.wheel_inertia_kg_m2;
    known.engine_inertia_kg_m2 = job.engine.inertia_kg_m2;
    know_load(job, air, coasted, known);
    assumptions.push_back(
        fmt::format("Crank torque is worked out with a driveline loss of {:.1f} % (standard deviation {:.1f} points), "
                    "crank to road, "
                    "tyre slip included.",
                    100.0 * car.driveline_loss_fraction, 100.0 * kEfficiencySd));
    std::string taken = fmt::format(
        "Taken as known to one standard deviation: mass {:.0f} kg to {}, rolling circumference {:.3f} m to {}",
        car.mass_kg, percent(known.mass_kg), car.rolling_circumference_m, percent(known.rolling_radius_m));
    if (!coasted)
        taken += fmt::format(", rolling resistance {:.0f} N to {}, drag to {}", known.a_n.mean, percent(known.a_n),
                             percent(known.c_n_per_m2_per_s2));
    assumptions.push_back(taken + ".");
    if (coasted) assumptions.push_back("Resistance is that of the coasting in neutral, not the job sheet's.");
    return known;
}

RoadRun run_of(const RunView& run, double usual_occupants_kg) {
    const RunEntry* entry = run.driven.run;
    const double stated = entry && entry->slope_pct ? *entry->slope_pct : run.job->site.slope_pct;
    return {.slope = {stated / 100.0, kRunSlopeSd},
            .headwind_m_per_s = {0.0, kWindSd},
            .extra_mass_kg = entry && entry->occupants_kg ? *entry->occupants_kg - usual_occupants_kg : 0.0};
}

Uncertain slope_of_road(std::span<const RunView> runs, bool both_ways, std::vector<std::string>& assumptions) {
    const bool stated = std::ranges::all_of(runs, [](const RunView& run) {
        return (run.driven.run && run.driven.run->slope_pct) || run.job->site.slope_pct != 0.0;
    });
    if (both_ways) {
        assumptions.push_back("The road was driven both ways: its slope and the head wind are part of the fit.");
        return {0.0, stated ? kStatedSlopeSd : kFreeSlopeSd};
    }
    if (!stated)
        assumptions.push_back(fmt::format(
            "No slope is stated and the road was driven one way: it is taken as level to {:.1f} % (one standard "
            "deviation), which moves torque with it.",
            100.0 * kUnknownSlopeSd));
    return {0.0, stated ? kStatedSlopeSd : kUnknownSlopeSd};
}

}  // namespace revwright
