#include "recovery/second_generator/second_log.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "formats/csv/writer.h"
#include "recovery/second_generator/chance.h"
#include "recovery/second_generator/path.h"
#include "recovery/second_generator/spoil.h"
#include "recovery/second_generator/traces.h"

namespace revwright::second {
namespace {

Planted plant(const FaultRow& row, const TraceCar& car, const DrivenPath& path, std::uint64_t seed) {
    Chance chance(seed, 51);
    Planted planted{.row = &row, .car = &car};
    const double top = car.job.engine.max_speed_rpm;
    if (row.placed) planted.at_rpm = top * chance.between(0.57, 0.70);
    // Seconds in revolutions, at the pace of this car's pulls.
    planted.flat_rpm = std::clamp(500.0 * row.flat_s / path.slowest_climb_s, row.placed ? 250.0 : 0.0, 750.0);
    planted.size = chance.share();
    planted.pull = chance.below(2);
    planted.cylinder = chance.below(car.job.engine.cylinders);
    planted.upward = chance.one_in(2);
    return planted;
}

void draw(std::vector<Instant>& instants, const TraceCar& car, std::uint64_t seed, bool cold, Planted* planted) {
    HealthyTraces healthy(car, seed, cold);
    LateProbes probes(car);
    for (Instant& now : instants) {
        healthy.fill(now);
        if (planted && planted->row->act) planted->row->act(now, *planted);
        probes.show(now);
    }
}

PlantedTruth truth_of(const Planted& planted) {
    PlantedTruth truth{std::string(planted.row->name), {}, planted.row->at_least, std::nullopt};
    for (const std::string_view check : planted.row->checks) truth.checks.emplace_back(check);
    for (const std::string_view check : planted.row->may_raise) truth.may_raise.emplace_back(check);
    if (planted.at_rpm > 0.0) truth.engine_speed_rpm = planted.at_rpm;
    return truth;
}

/// A pull with cold oil is refused; only a log with an oil temperature can tell.
void refuse_cold(ScoreCase& truth, const std::vector<Instant>& instants) {
    std::vector<DrivenPull> warm;
    for (const DrivenPull& pull : truth.pulls) {
        const auto at = static_cast<std::size_t>(pull.start_s / kInstantSeconds);
        if (instants[at].oil_c < 80.0)
            truth.stretches.push_back({pull.start_s, pull.end_s, ExclusionReason::cold_oil});
        else
            warm.push_back(pull);
    }
    truth.pulls = std::move(warm);
}

RunEntry run_of(const TraceCar& car) {
    RunEntry run;
    run.log = "second.csv";
    run.place = car.dyno ? RunPlace::inertia_dyno : RunPlace::road;
    if (car.dyno) run.roller_inertia_kg_m2 = car.job.car.mass_kg * 0.09;
    run.ambient_temp_c = car.weather.ambient_c;
    run.ambient_pressure_kpa = car.weather.ambient_kpa;
    return run;
}

}  // namespace

SecondLog second_log(const SecondSetup& setup) {
    TraceCar car = trace_car(setup.car, setup.seed);
    DriveWish wish;
    wish.cold_engine = !setup.fault && setup.seed % 6 == 0;
    if (setup.fault && setup.fault->prepare) setup.fault->prepare(car, wish);
    DrivenPath path = drive_path(car, setup.seed, wish);
    std::optional<Planted> planted;
    if (setup.fault) planted = plant(*setup.fault, car, path, setup.seed);
    draw(path.instants, car, setup.seed, wish.cold_engine, planted ? &*planted : nullptr);

    SecondLog made;
    made.truth = {.generator = "second",
                  .logger = std::string(to_string(setup.recorder)),
                  .car = std::string(to_string(setup.car)),
                  .seed = setup.seed};
    made.truth.pulls = path.pulls;
    made.truth.stretches = path.stretches;
    if (planted) made.truth.fault = truth_of(*planted);
    std::set<Signal> needed;
    if (setup.fault) needed.insert(setup.fault->shows_in.begin(), setup.fault->shows_in.end());
    made.log = record(path.instants, car, setup.recorder, setup.seed, needed);
    if (made.log.find(Signal::oil_temp_c)) refuse_cold(made.truth, path.instants);
    if (planted) spoil(made.log, *planted, path);
    made.csv = csv::write(made.log);
    if (planted && setup.fault->spoil == Spoil::clock) run_clock_back(made.csv, path, made.truth);
    made.job = car.job;
    made.run = run_of(car);
    return made;
}

}  // namespace revwright::second
