// Two 16 x 16 tables, spark and lambda target, with a pull over all speeds, clean evidence on the full-load ridge and
// one knock finding: what a calibrator waits for after a run. The budget is 0.2 s.
#include <algorithm>
#include <benchmark/benchmark.h>
#include <cmath>

#include "numeric/quadratic_programme.h"
#include "propose/propose.h"

namespace revwright {
namespace {

constexpr std::size_t kSide = 16;

Table map_of(const char* name, ChannelKey quantity, double factor, double value) {
    std::vector<double> speeds, charges;
    for (std::size_t i = 0; i < kSide; ++i) {
        speeds.push_back(1000.0 + 400.0 * static_cast<double>(i));
        charges.push_back(20.0 + 12.0 * static_cast<double>(i));
    }
    Table table;
    table.description.name = name;
    table.description.quantity = quantity;
    table.description.coding = {RawType::i16, ByteOrder::big, factor, 0.0};
    table.description.shape = {kSide, kSide};
    table.axes = {*Axis::make(name, {Signal::engine_speed_rpm}, speeds),
                  *Axis::make(name, {Signal::charge_pct}, charges)};
    table.raw.assign(kSide * kSide, std::round(value / factor));
    table.values.assign(kSide * kSide, factor * std::round(value / factor));
    return table;
}

struct Workshop {
    JobSheet job;
    TableSet parent;
    std::vector<TableEvidence> evidence;
    Review review;
    Log log;
    RunEntry run;
};

Workshop workshop() {
    Workshop w;
    w.job.engine.cylinders = 4;
    w.job.engine.displacement_cm3 = 2000.0;
    w.job.image.emplace();
    w.job.image->roles[Role::spark] = {{"SPARK", "", {}}};
    w.job.image->roles[Role::lambda_target] = {{"LAMBDA", "", {}}};
    w.parent.tables = {map_of("SPARK", {Signal::spark_deg}, 0.25, 10.0),
                       map_of("LAMBDA", {Signal::lambda_target}, 0.001, 0.85)};
    for (const Role role : {Role::spark, Role::lambda_target}) {
        TableEvidence table{role, role == Role::spark ? "SPARK" : "LAMBDA", {}};
        for (std::size_t flat = 0; flat < kSide * kSide; ++flat) {
            if (flat % kSide < 10 || flat % kSide > 13) continue;
            CellEvidence cell{.flat = flat, .pulls = 3.0, .events = 100.0 + static_cast<double>(flat)};
            cell.knock_rate_upper = flat % 7 == 0 ? 0.05 : 0.01;
            cell.lambda_ratio = 1.0;
            table.cells.push_back(cell);
        }
        w.evidence.push_back(std::move(table));
    }
    w.log.time_bases.push_back({});
    for (int i = 0; i <= 240; ++i) w.log.time_bases[0].seconds.push_back(0.05 * i);
    const auto add = [&](Signal signal, auto value) {
        Channel channel{"", "", ChannelKey{signal, 0}, "", 0, {}};
        for (const double t : w.log.time_bases[0].seconds) channel.values.push_back(value(t));
        w.log.channels.push_back(std::move(channel));
    };
    add(Signal::engine_speed_rpm, [](double t) { return 1500.0 + 400.0 * t; });
    add(Signal::charge_pct, [](double t) { return 150.0 + 20.0 * std::sin(0.5 * t); });
    w.review.pulls = {{0, 0, 0.0, 12.0, 3, 1500.0, 6300.0}};
    Finding knock;
    knock.check = "knock-repeated";
    knock.severity = Severity::mend;
    knock.pull = 0;
    knock.log = 0;
    knock.engine_speed_rpm = 3500.0;
    knock.time_s = 5.0;
    knock.value = 4.0;
    knock.unit = "deg";
    knock.levers = {"spark"};
    w.review.findings = {knock};
    return w;
}

void BM_Propose(benchmark::State& state) {
    const Workshop w = workshop();
    const DrivenLog driven{&w.log, &w.run, &w.parent};
    for (auto _ : state) {
        auto proposal = propose({w.job, w.parent, w.parent, w.evidence, w.review, {true}, std::span(&driven, 1)});
        if (!proposal) state.SkipWithError(proposal.error().what.c_str());
        benchmark::DoNotOptimize(proposal);
    }
}
BENCHMARK(BM_Propose)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace revwright
