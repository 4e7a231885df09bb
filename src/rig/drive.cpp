#include "rig/drive.h"

#include <algorithm>
#include <fmt/format.h>
#include <utility>

#include "rig/simulation.h"
#include "rig/spoil.h"
#include "rig/truth.h"

namespace revwright::rig {
namespace {

constexpr double kLongestDrive = 1800.0;  // s; a script that cannot end is a fault of the plan

Day day_of(const RigSetup& setup, const PlantedFaults& faults) {
    Day day = draw_day(setup.job.site, setup.seed);
    day.ambient_temp_c = setup.plan.ambient_temp_c.value_or(day.ambient_temp_c);
    day.ambient_pressure_kpa = setup.plan.ambient_pressure_kpa.value_or(day.ambient_pressure_kpa);
    day.slope_pct = setup.plan.slope_pct.value_or(day.slope_pct);
    day.run_effect_deg = setup.plan.run_effect_deg.value_or(day.run_effect_deg);
    if (faults.has("low-battery")) day.battery_v -= 2.0;
    return day;
}

std::vector<double> spark_speeds(const JobSheet& job, const TableSet& tables) {
    const auto reader = reader_for(Role::spark, job, tables);
    if (!reader || !*reader) return {};
    for (const Axis& axis : (*reader)->table().axes)
        if (axis.quantity().signal == Signal::engine_speed_rpm) return {axis.points().begin(), axis.points().end()};
    return {};
}

std::optional<Error> cannot_drive(const RigSetup& setup) {
    const Engine& engine = setup.job.engine;
    if (engine.cylinders < 1 || engine.cylinders > kMostCylinders)
        return Error{.what = fmt::format("the rig simulates 1 to {} cylinders, the job sheet has {}", kMostCylinders,
                                         engine.cylinders)};
    if (engine.max_speed_rpm < 4000.0)
        return Error{.what = fmt::format("the rig needs an engine of 4000 rpm or more, the job sheet's turns {:.0f}",
                                         engine.max_speed_rpm)};
    if (setup.job.car.gear_ratios.empty()) return Error{.what = "the rig needs gear ratios in the job sheet"};
    if (setup.plan.pulls < 1) return Error{.what = "a drive on the rig needs at least one pull"};
    if (setup.job.car.rolling_circumference_m <= 0.0)
        return Error{.what = "the rig needs a tyre size or a rolling circumference in the job sheet"};
    return std::nullopt;
}

Driver driver_for(const RigSetup& setup, const PlantedFaults& faults, const Vehicle& vehicle) {
    const double early = faults.has("pull-ends-early") ? 4300.0 : 0.0;
    const double late = faults.has("pull-starts-late") ? 3900.0 : 0.0;
    DrivePlan plan = setup.plan;
    if (faults.has("cold-start-lean")) {  // the engine is given the time it needs to get warm
        plan.idle_s = std::max(plan.idle_s, 30.0);
        plan.cruise_s = std::max(plan.cruise_s, 150.0);
    }
    if (faults.has("clutch-slips")) plan.stretches.push_back(StretchKind::clutch_slip);
    if (faults.has("intervention")) plan.stretches.push_back(StretchKind::intervention);
    const double at_limiter_s = faults.has("rev-limiter") ? 1.2 : 0.0;
    return Driver{make_script(plan, vehicle, setup.job.engine.max_speed_rpm, setup.seed, early, late), vehicle,
                  at_limiter_s, setup.job.engine.max_speed_rpm};
}

std::vector<Moment> run(Simulation& simulation, double period_s) {
    std::vector<Moment> moments;
    while (!simulation.done() && simulation.time_s() < kLongestDrive) {
        simulation.step();
        if (simulation.time_s() >= period_s * static_cast<double>(moments.size() + 1) - 1e-9)
            moments.push_back(simulation.moment());
    }
    return moments;
}

}  // namespace

Result<RigRun> drive(const RigSetup& setup) {
    if (auto error = cannot_drive(setup)) return tl::unexpected(*error);
    const JobSheet& job = setup.job;
    auto faults = PlantedFaults::make(setup.faults, setup.plan.pulls, job.engine.cylinders, setup.seed,
                                      spark_speeds(job, setup.tables));
    if (!faults) return tl::unexpected(faults.error());
    const Hidden car = draw_hidden(setup.variety, job.engine.cylinders, setup.car_seed.value_or(setup.seed));
    const Day day = day_of(setup, *faults);
    AirPathData air = air_path_data(job, setup.hardware_fitted.value_or(!job.hardware.empty()));
    if (faults->has("unscaled-meter")) air.meter_area_factor = kWiderHousing;
    if (faults->has("trims-off")) air.part_load_leak = kPartLoadLeak;
    auto unit = ControlUnit::make(job, setup.tables, air, car);
    if (!unit) return tl::unexpected(unit.error());
    const Vehicle vehicle{job};
    const bool cold = faults->has("cold-oil") ||
                      std::ranges::find(setup.plan.stretches, StretchKind::cold_oil) != setup.plan.stretches.end();
    Simulation simulation{{.job = job,
                           .car = car,
                           .day = day,
                           .air = air,
                           .knock = {.ron = setup.plan.ron.value_or(job.fuel.ron),
                                     .compression_ratio = job.engine.compression_ratio,
                                     .run_effect_deg = day.run_effect_deg},
                           .vehicle = vehicle,
                           .unit = *unit,
                           .driver = driver_for(setup, *faults, vehicle),
                           .faults = *faults,
                           .cold_oil = cold,
                           .seed = setup.seed}};
    const std::vector<Moment> moments = run(simulation, logger_period_s(setup.logger));
    RigRun result{.log = record(moments, setup.logger, job.engine.cylinders, job.engine.injection == Injection::direct,
                                job.engine.turbocharged(), setup.seed),
                  .truth = {}};
    result.truth.hidden = car;
    result.truth.day = day;
    result.truth.knocks = simulation.take_knocks();
    label_pulls(moments, result.truth);
    draw_curves(moments, result.truth);
    result.truth.faults = fault_places(*faults, moments, result.truth.pulls);
    spoil_log(*faults, result.log, result.truth);
    return result;
}

}  // namespace revwright::rig
