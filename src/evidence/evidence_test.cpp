#include "evidence/evidence.h"

#include <cmath>
#include <gtest/gtest.h>

#include "numeric/binomial_bound.h"

namespace revwright {
namespace {

Table map_of(const char* name, ChannelKey quantity, double value) {
    Table table;
    table.description.name = name;
    table.description.quantity = quantity;
    table.description.shape = {3, 2};
    table.axes = {*Axis::make(name, {Signal::engine_speed_rpm}, {2000.0, 4000.0, 6000.0}),
                  *Axis::make(name, {Signal::charge_pct}, {100.0, 200.0})};
    table.values.assign(6, value);
    table.raw.assign(6, value);
    return table;
}

/// One pull from 2000 to 6000 rpm in 8 s at a charge of 150 %, logged at 20 Hz; every test changes what it is about.
struct Bench {
    JobSheet job;
    Log log;
    RunEntry run;
    TableSet parent, then;
    Review review;

    Bench() {
        job.engine.cylinders = 4;
        job.engine.displacement_cm3 = 2000.0;
        job.image.emplace();
        job.image->roles[Role::spark] = {{"SPARK", "", {}}};
        job.image->roles[Role::lambda_target] = {{"LAMBDA", "", {}}};
        parent.tables = {map_of("SPARK", {Signal::spark_deg}, 10.0), map_of("LAMBDA", {Signal::lambda}, 0.88)};
        then = parent;
        log.time_bases.push_back({});
        for (int i = 0; i <= 160; ++i) log.time_bases[0].seconds.push_back(0.05 * i);
        add({Signal::engine_speed_rpm}, [](double t) { return 2000.0 + 500.0 * t; });
        add({Signal::charge_pct}, [](double) { return 150.0; });
        for (int cylinder = 1; cylinder <= 4; ++cylinder)
            add({Signal::knock_retard_deg, cylinder}, [](double) { return 0.0; });
        review.logs = {"run.csv"};
        review.pulls = {{0, 0, 0.5, 7.5, 3, 2250.0, 5750.0}};
    }
    template <class F>
    void add(ChannelKey key, F value) {
        Channel channel{to_string(key), "", key, "", 0, {}};
        for (const double t : log.time_bases[0].seconds) channel.values.push_back(value(t));
        std::erase_if(log.channels, [&](const Channel& c) { return c.key == key; });
        log.channels.push_back(std::move(channel));
    }
    std::vector<TableEvidence> gather(bool with_run = true) const {
        const DrivenLog driven{&log, with_run ? &run : nullptr, with_run ? &then : nullptr};
        return gather_evidence(job, std::span(&driven, 1), review, parent);
    }
    TableEvidence spark(bool with_run = true) const { return gather(with_run).at(0); }
};

double total(const TableEvidence& table, double CellEvidence::* field) {
    double sum = 0.0;
    for (const CellEvidence& cell : table.cells) sum += cell.*field;
    return sum;
}

/// Retard of one knock at t: 3 degrees that decay at 1 degree a second.
auto knock_at(double at, double step = 3.0) {
    return [=](double t) { return t < at ? 0.0 : std::max(0.0, step - (t - at)); };
}

TEST(Evidence, EventsAreTheIntegralOfSpeedOverThePull) {
    const Bench bench;
    const double integral = (2000.0 * 7.0 + 250.0 * (7.5 * 7.5 - 0.5 * 0.5)) * 4.0 / 120.0;
    for (const TableEvidence& table : bench.gather()) EXPECT_NEAR(total(table, &CellEvidence::events), integral, 1e-9);
}

TEST(Evidence, CellsComeInOrderWithTheirShare) {
    const TableEvidence spark = Bench().spark();
    ASSERT_EQ(spark.cells.size(), 6u);
    for (std::size_t i = 0; i < 6; ++i) EXPECT_EQ(spark.cells[i].flat, i);
    EXPECT_NEAR(spark.cells[2].events, spark.cells[3].events, 1e-9) << "half way between two charges";
    EXPECT_GT(spark.cells[2].events, spark.cells[0].events);
    EXPECT_EQ(spark.cells[2].pulls, 1.0);
    EXPECT_NEAR(spark.cells[2].knock_rate_upper, rate_upper_bound(0.0, spark.cells[2].events, 0.95), 1e-12);
}

TEST(Evidence, AKnockIsSharedOutAndItsCylinderNamed) {
    Bench bench;
    bench.add({Signal::knock_retard_deg, 3}, knock_at(4.0));
    const TableEvidence spark = bench.spark();
    EXPECT_NEAR(total(spark, &CellEvidence::knock_events), 1.0, 1e-9);
    const CellEvidence& cell = *spark.find(2);  // 4000 rpm, 100 %
    EXPECT_NEAR(cell.knock_events, 0.5, 1e-9);
    EXPECT_EQ(cell.worst_cylinder, 3);
    EXPECT_EQ(cell.worst_cylinder_knock_events, 1.0);
    ASSERT_TRUE(cell.worst);
    EXPECT_EQ(cell.worst->value, 3.0);
    EXPECT_NEAR(cell.worst->time_s, 4.0, 1e-9);
    EXPECT_NEAR(cell.worst->engine_speed_rpm, 4000.0, 1e-6);
    EXPECT_LT(cell.worst_cylinder_events, cell.events / 4.0) << "a retarded cylinder says nothing about table spark";
    EXPECT_GT(cell.knock_rate_upper, rate_upper_bound(0.5, cell.events, 0.95));
}

TEST(Evidence, RetardWithoutACylinderIsTheWorstOne) {
    Bench bench;
    std::erase_if(bench.log.channels, [](const Channel& c) { return c.key->signal == Signal::knock_retard_deg; });
    bench.add({Signal::knock_retard_deg}, knock_at(4.0));
    const CellEvidence cell = *bench.spark().find(2);
    EXPECT_EQ(cell.worst_cylinder, 0);
    EXPECT_EQ(cell.worst_cylinder_knock_events, 1.0);
}

TEST(Evidence, WithoutRetardNothingIsKnownOfKnock) {
    Bench bench;
    std::erase_if(bench.log.channels, [](const Channel& c) { return c.key->signal == Signal::knock_retard_deg; });
    EXPECT_EQ(bench.spark().find(2)->knock_rate_upper, 1.0);
}

TEST(Evidence, ALogWithoutRunOnlyCountsAgainst) {
    Bench bench;
    EXPECT_TRUE(bench.spark(false).cells.empty());
    bench.add({Signal::knock_retard_deg, 1}, knock_at(4.0));
    const TableEvidence spark = bench.spark(false);
    EXPECT_NEAR(total(spark, &CellEvidence::knock_events), 1.0, 1e-9);
    EXPECT_EQ(total(spark, &CellEvidence::events), 0.0);
    EXPECT_EQ(spark.find(2)->knock_rate_upper, 1.0);
}

TEST(Evidence, ACensoredRetardIsNeverZeroEvents) {
    Bench bench;
    bench.add({Signal::knock_retard_deg, 2}, [](double t) {
        if (t < 3.0) return 0.0;
        if (t < 3.2) return 3.0;
        if (t < 3.4) return 6.0;
        return t < 6.0 ? 8.0 : std::max(0.0, 8.0 - (t - 6.0));
    });
    const TableEvidence spark = bench.spark();
    EXPECT_TRUE(spark.find(2)->knock_censored);
    EXPECT_TRUE(spark.find(5)->knock_censored);
    EXPECT_FALSE(Bench().spark().find(2)->knock_censored);
}

TEST(Evidence, NothingIsHeardAroundAShiftOrTheLimiter) {
    Bench bench;
    bench.job.engine.max_speed_rpm = 5550.0;  // reached at 7.0 s, near from there on
    bench.review.excluded = {{0, 0.0, 0.5, ExclusionReason::shift}};
    bench.add({Signal::knock_retard_deg, 1}, knock_at(0.9));
    bench.add({Signal::knock_retard_deg, 2}, knock_at(7.2));
    const TableEvidence spark = bench.spark();
    EXPECT_EQ(total(spark, &CellEvidence::knock_events), 0.0);
    EXPECT_NEAR(total(spark, &CellEvidence::events), (2000.0 * 5.5 + 250.0 * (6.5 * 6.5 - 1.0)) * 4.0 / 120.0, 1e-6);
}

TEST(Evidence, AMilderRevisionProvesNothingAndABolderOneIsHistory) {
    Bench bench;
    bench.then.image.bytes[0] = 1;
    for (double& v : bench.then.tables[0].values) v = 9.0;
    EXPECT_TRUE(bench.spark().cells.empty());
    for (double& v : bench.then.tables[0].values) v = 11.0;
    EXPECT_GT(total(bench.spark(), &CellEvidence::events), 0.0) << "silence at more spark speaks for less";
    bench.add({Signal::knock_retard_deg, 1}, [](double t) { return knock_at(4.0)(t) + knock_at(4.1)(t); });
    const TableEvidence spark = bench.spark();
    EXPECT_EQ(total(spark, &CellEvidence::knock_events), 0.0);
    ASSERT_TRUE(spark.find(2)->knocked_at);
    EXPECT_EQ(*spark.find(2)->knocked_at, 11.0);
    EXPECT_FALSE(spark.find(0)->knocked_at);
}

TEST(Evidence, AConditionalTableIsNotRaisedByLogs) {
    Bench bench;
    bench.job.image->roles[Role::spark][0].when = "octane-low";
    EXPECT_TRUE(bench.spark().cells.empty());
}

TEST(Evidence, ATableWhoseAxisIsNotLoggedGathersNothing) {
    Bench bench;
    std::erase_if(bench.log.channels, [](const Channel& c) { return c.key->signal == Signal::charge_pct; });
    for (const TableEvidence& table : bench.gather()) EXPECT_TRUE(table.cells.empty());
}

TEST(Evidence, LambdaIsPlacedWhereTheMixtureWasMade) {
    Bench bench;
    bench.add({Signal::lambda_target}, [](double) { return 0.88; });
    bench.add({Signal::lambda}, [](double t) { return t > 4.0 ? 0.90 : 0.88; });
    const TableEvidence lambda = bench.gather().at(1);
    EXPECT_EQ(*lambda.find(4)->lambda_max, 0.90);
    EXPECT_NEAR(*lambda.find(4)->lambda_ratio, 0.90 / 0.88, 1e-3);
    EXPECT_EQ(*lambda.find(0)->lambda_max, 0.90) << "the delay moves the first lean samples below 4000 rpm";
}

}  // namespace
}  // namespace revwright
