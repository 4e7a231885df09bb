#include "rig/faults.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "rig/test_car.h"

namespace revwright::rig {
namespace {

RigRun with_fault(const std::string& name, double at_rpm = 0.0, std::uint64_t seed = 5) {
    RigSetup setup = standard_setup(seed);
    setup.faults = {{name, at_rpm}};
    setup.plan.pulls = 2;
    setup.plan.cruise_s = setup.plan.cool_down_s = 8.0;
    return must_drive(setup);
}

/// Each fault that has a value: how far it must go, in the direction that is bad. Limits of INTERFACE (common practice,
/// no source), passed by at least 30 % of the limit's step.
struct Case {
    const char* name;
    double at_least, at_most;  // of TruthFault::value
    double reach_rpm;          // how near the asked place the worst must be
};
constexpr Case kCases[] = {
    {"lean-at-full-load", 0.94, 1.00, 600.0},   {"lambda-off-target", 0.052, 0.08, 1000.0},
    {"single-knock", 1.3, 4.5, 300.0},          {"knock-hot-spot", 1.3, 4.5, 300.0},
    {"one-cylinder-knocks", 3.5, 12.0, 6000.0}, {"low-boost", 13.5, 24.0, 900.0},
    {"high-boost", 13.5, 24.0, 900.0},          {"boost-overshoot", 16.5, 24.0, 6000.0},
    {"throttle-closes", 50.0, 80.0, 500.0},     {"fuel-pressure-drop", 13.0, 19.0, 800.0},
    {"hot-intake", 67.0, 79.0, 1600.0},         {"hot-exhaust", 960.0, 1040.0, 6000.0},
    {"hot-coolant", 112.4, 117.0, 6000.0},      {"hot-oil", 133.0, 139.0, 6000.0},
    {"cold-oil", 50.0, 74.0, 6000.0},           {"weak-turbo", 96.0, 100.0, 900.0},
};

TEST(Faults, EachShowsBeyondItsLimitNearItsPlace) {
    for (const Case& row : kCases) {
        SCOPED_TRACE(row.name);
        const RigRun run = with_fault(row.name, 4400.0);
        ASSERT_EQ(run.truth.faults.size(), 1u);
        const TruthFault& fault = run.truth.faults[0];
        EXPECT_GE(fault.value, row.at_least);
        EXPECT_LE(fault.value, row.at_most);
        EXPECT_NEAR(fault.engine_speed_rpm.value_or(4400.0), 4400.0, row.reach_rpm);
        EXPECT_FALSE(fault.checks.empty());
    }
}

// Build-up in an ordinary pull (below 3,000 rpm) and after a shift lies near these places and is not the fault.
TEST(Faults, LevelFaultsArePlacedInTheMiddleOfWhereTheyAct) {
    for (const Case& row : kCases) {
        const std::string name = row.name;
        const bool level = name.starts_with("lambda") || name.starts_with("lean") || name.ends_with("-boost") ||
                           name == "throttle-closes" || name == "fuel-pressure-drop";
        if (!level) continue;
        for (const double place : {3300.0, 4400.0}) {
            SCOPED_TRACE(name);
            RigSetup setup = standard_setup(6);
            setup.faults = {{name, place}};
            setup.plan.pulls = 1;
            setup.plan.cruise_s = setup.plan.cool_down_s = 8.0;
            setup.plan.stretches = {StretchKind::shift_at_full};
            const TruthFault fault = must_drive(setup).truth.faults.at(0);
            EXPECT_NEAR(fault.engine_speed_rpm.value_or(0.0), place, 200.0);
            EXPECT_GE(fault.value, row.at_least);
            EXPECT_LE(fault.value, row.at_most);
        }
    }
}

TEST(Faults, TheLoggedChannelShowsWhatTheTruthSays) {
    const RigRun lean = with_fault("lean-at-full-load", 4400.0);
    const TruthFault& fault = lean.truth.faults[0];
    // The sensor answers about a tenth of a second later.
    EXPECT_GT(value_at(series_of(lean.log, Signal::lambda), fault.time_s + 0.15), 0.93);
    const RigRun low = with_fault("low-boost", 4400.0);
    const double t = low.truth.faults[0].time_s;
    EXPECT_LT(value_at(series_of(low.log, Signal::boost_pressure_kpa), t) -
                  value_at(series_of(low.log, Signal::boost_target_kpa), t),
              -13.0);
}

TEST(Faults, HotSpotKnocksTheSameCylinderInEveryPull) {
    const RigRun run = with_fault("knock-hot-spot", 4400.0);
    std::vector<int> near;
    for (const TruthKnock& knock : run.truth.knocks)
        if (std::abs(knock.engine_speed_rpm - 4405.0) < 15.0) near.push_back(knock.cylinder);
    ASSERT_GE(near.size(), 2u);
    EXPECT_GE(std::ranges::count(near, near[0]), 2);
}

TEST(Faults, RecordingFaultsSpoilTheLogAndNotTheTruth) {
    const RigRun gap = with_fault("log-gap");
    const auto& seconds = gap.log.time_bases[0].seconds;
    double widest = 0.0;
    for (std::size_t i = 1; i < seconds.size(); ++i) widest = std::max(widest, seconds[i] - seconds[i - 1]);
    EXPECT_GT(widest, 1.4);
    const RigRun dropped = with_fault("sensor-dropout");
    const Series lambda = series_of(dropped.log, Signal::lambda);
    EXPECT_GT(std::ranges::count_if(lambda.values, [](double x) { return std::isnan(x); }), 40);
    EXPECT_EQ(gap.truth.pulls.size(), 2u);
    const RigRun stuck = with_fault("stuck-channel");
    const double t = stuck.truth.faults[0].time_s;
    int still = 0;
    for (const Signal s : {Signal::boost_pressure_kpa, Signal::air_mass_flow_g_s, Signal::lambda}) {
        const Series part = slice(series_of(stuck.log, s), t - 2.0, t + 2.0);
        still += std::ranges::all_of(part.values, [&](double x) { return x == part.values[0]; }) ? 1 : 0;
    }
    EXPECT_EQ(still, 1);
    const RigRun clipped = with_fault("clipped-pressure"), spiky = with_fault("spikes");
    const Series boost = series_of(clipped.log, Signal::boost_pressure_kpa);
    EXPECT_GT(std::ranges::count(boost.values, std::ranges::max(boost.values)), 40);
    EXPECT_EQ(std::ranges::count(series_of(spiky.log, Signal::lambda).values, 1.6), 3);
    EXPECT_FALSE(std::ranges::is_sorted(with_fault("clock-runs-back").log.time_bases[0].seconds));
}

double highest(const Log& log, Signal signal) { return std::ranges::max(series_of(log, signal).values); }
double lowest(const Log& log, Signal signal) { return std::ranges::min(series_of(log, signal).values); }

/// Highest less lowest of boost over its target in a window around the fault's place.
double swing_at(const RigRun& run) {
    const double t = run.truth.faults.at(0).time_s;
    const Series boost = slice(series_of(run.log, Signal::boost_pressure_kpa), t - 0.8, t + 0.8);
    double high = -1e9, low = 1e9;
    for (std::size_t i = 0; i < boost.size(); ++i) {
        const double error = boost.values[i] - value_at(series_of(run.log, Signal::boost_target_kpa), boost.times[i]);
        high = std::max(high, error), low = std::min(low, error);
    }
    return high - low;
}

TEST(Faults, TheChannelsOfAFaultWithoutAPlaceShowIt) {
    EXPECT_GT(swing_at(with_fault("boost-oscillation", 4400.0)), 18.0);
    EXPECT_LT(highest(with_fault("low-battery").log, Signal::battery_v), 12.5);
    EXPECT_GT(highest(with_fault("misfire", 4400.0).log, Signal::misfire_count), 3.0);
    EXPECT_EQ(highest(with_fault("low-boost", 4400.0).log, Signal::misfire_count), 0.0);
    const RigRun trims = with_fault("trims-off");
    const double sum = highest(trims.log, Signal::trim_long_pct) + highest(trims.log, Signal::trim_short_pct);
    EXPECT_GT(sum, 12.4);
    const RigRun cold = with_fault("cold-start-lean");
    EXPECT_LT(lowest(cold.log, Signal::coolant_temp_c), 20.0);
    EXPECT_GT(value_at(series_of(cold.log, Signal::lambda), 15.0), 1.2);
    EXPECT_EQ(cold.truth.pulls.size(), 2u) << "warm by the time of the first pull";
    EXPECT_GT(highest(with_fault("rev-limiter").log, Signal::engine_speed_rpm), 6700.0);
    EXPECT_EQ(with_fault("clutch-slips").truth.excluded.size(), 1u);
    EXPECT_EQ(with_fault("intervention").truth.excluded.size(), 1u);
}

// Air past the meter, and air lost behind it, show in the mixture: both are planted where the meter is right otherwise.
TEST(Faults, MeterFaultsChangeTheMixtureTheirWay) {
    const RigRun clean = must_drive(standard_setup(5));
    const RigRun wider = with_fault("unscaled-meter"), leak = with_fault("boost-leak");
    const auto late = [](const RigRun& run) {
        const TruthPull& pull = run.truth.pulls.at(0);
        return value_at(series_of(run.log, Signal::lambda), pull.start_s + 0.8 * (pull.end_s - pull.start_s));
    };
    EXPECT_NEAR(late(wider) / late(clean), kWiderHousing, 0.06);
    EXPECT_NEAR(late(leak) / late(clean), 1.0 / (1.0 + kLeakShare), 0.06);
}

TEST(Faults, CoverageFaultsLeaveSpeedsUndriven) {
    for (const TruthPull& pull : with_fault("pull-ends-early").truth.pulls) EXPECT_LT(pull.speed_to_rpm, 4500.0);
    for (const TruthPull& pull : with_fault("pull-starts-late").truth.pulls) EXPECT_GT(pull.speed_from_rpm, 3500.0);
}

// "Every pull" means the planted stretches too: one pull from low speed among them, and the range is covered.
TEST(Faults, NoStretchCoversWhatALateStartLeavesOut) {
    using enum StretchKind;
    for (const StretchKind kind : {part_pedal, shift_at_full, lift_off, wheel_slip, clutch_slip, intervention}) {
        SCOPED_TRACE(static_cast<int>(kind));
        RigSetup setup = standard_setup(7);
        setup.faults = {{"pull-starts-late"}};
        setup.plan.pulls = 1;
        setup.plan.cruise_s = setup.plan.cool_down_s = 8.0;
        setup.plan.stretches = {kind};
        const Truth truth = must_drive(setup).truth;
        for (const TruthPull& pull : truth.pulls) EXPECT_GT(pull.speed_from_rpm, 3500.0);
        ASSERT_EQ(truth.excluded.size(), 1u);
        EXPECT_GT(truth.excluded[0].end_s - truth.excluded[0].start_s, 0.1);
    }
}

// Torque that is taken back and never given back is what a limiter does; nobody can tell the two apart.
TEST(Faults, AnInterventionEndsBeforeItsPullDoes) {
    RigSetup setup = standard_setup(8);
    setup.faults = {{"pull-ends-early"}};
    setup.plan.pulls = 1;
    setup.plan.stretches = {StretchKind::intervention};
    const RigRun run = must_drive(setup);
    ASSERT_EQ(run.truth.excluded.size(), 1u);
    EXPECT_EQ(run.truth.excluded[0].reason, ExclusionReason::intervention);
    EXPECT_GT(value_at(series_of(run.log, Signal::torque_request_nm), run.truth.excluded[0].start_s - 0.1), 300.0);
    EXPECT_GT(value_at(series_of(run.log, Signal::pedal_pct), run.truth.excluded[0].end_s), 95.0);
    EXPECT_EQ(run.truth.pulls.size(), 2u);
}

}  // namespace
}  // namespace revwright::rig
