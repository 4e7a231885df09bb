#include "rig/drive.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <gtest/gtest.h>

#include "rig/test_car.h"

namespace revwright::rig {
namespace {

/// Bit for bit, so that NaN equals NaN.
bool same(const Log& a, const Log& b) {
    const auto bits = [](double x) { return std::bit_cast<std::uint64_t>(x); };
    if (!std::ranges::equal(a.time_bases[0].seconds, b.time_bases[0].seconds, {}, bits, bits)) return false;
    return std::ranges::equal(a.channels, b.channels, [&](const Channel& x, const Channel& y) {
        return x.name == y.name && std::ranges::equal(x.values, y.values, {}, bits, bits);
    });
}

/// Largest value of a channel inside the pulls, from an engine speed on.
double most_in_pulls(const RigRun& run, Signal signal, double from_rpm) {
    const Series speed = series_of(run.log, Signal::engine_speed_rpm);
    const Series values = series_of(run.log, signal);
    double most = -1e9;
    for (std::size_t i = 0; i < speed.size(); ++i)
        for (const TruthPull& pull : run.truth.pulls)
            if (speed.times[i] >= pull.start_s && speed.times[i] <= pull.end_s && speed.values[i] >= from_rpm)
                most = std::max(most, values.values[i]);
    return most;
}

TEST(Drive, SameSetupSameBytesOtherSeedOtherRun) {
    RigSetup setup = standard_setup(4);
    setup.plan.pulls = 1;
    const RigRun a = must_drive(setup), b = must_drive(setup);
    EXPECT_TRUE(same(a.log, b.log));
    setup.seed = 5;
    EXPECT_FALSE(same(a.log, must_drive(setup).log));
}

TEST(Drive, TheSameCarKeepsItsHiddenParametersOverItsRuns) {
    RigSetup setup = standard_setup(4);
    setup.plan.pulls = 1;
    setup.car_seed = 77;
    const RigRun a = must_drive(setup);
    setup.seed = 5;
    const RigRun b = must_drive(setup);
    EXPECT_EQ(a.truth.hidden.borderline_level_deg, b.truth.hidden.borderline_level_deg);
    EXPECT_NE(a.truth.day.run_effect_deg, b.truth.day.run_effect_deg);
}

// The envelope a healthy standard car must keep; limits of INTERFACE (common practice, no source).
TEST(Drive, StandardCarDrivesCleanForTwentySeeds) {
    std::size_t knocks = 0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        SCOPED_TRACE(seed);
        RigSetup setup = standard_setup(seed);
        setup.plan.pulls = 2;
        setup.plan.cruise_s = setup.plan.cool_down_s = 6.0;
        const RigRun run = must_drive(setup);
        ASSERT_EQ(run.truth.pulls.size(), 2u);
        EXPECT_TRUE(run.truth.excluded.empty());
        EXPECT_LE(most_in_pulls(run, Signal::lambda, 3000.0), 0.90);
        EXPECT_LT(most_in_pulls(run, Signal::intake_temp_c, 0.0), 60.0);
        EXPECT_LE(most_in_pulls(run, Signal::coolant_temp_c, 0.0), 105.0);
        EXPECT_LE(most_in_pulls(run, Signal::oil_temp_c, 0.0), 125.0);
        for (const TruthPull& pull : run.truth.pulls) {
            EXPECT_LT(pull.settled_exhaust_temp_c, 930.0);
            EXPECT_GT(pull.peak_torque_nm, 315.0);
            EXPECT_LT(pull.peak_torque_nm, 400.0);
            EXPECT_GT(pull.peak_power_kw, 150.0);
            EXPECT_LT(pull.peak_power_kw, 190.0);
        }
        const Series boost = series_of(run.log, Signal::boost_pressure_kpa);
        const Series target = series_of(run.log, Signal::boost_target_kpa);
        const Series speed = series_of(run.log, Signal::engine_speed_rpm);
        for (std::size_t i = 0; i < speed.size(); ++i)
            for (const TruthPull& pull : run.truth.pulls) {
                if (speed.times[i] < pull.start_s + 0.3 || speed.times[i] > pull.end_s) continue;
                EXPECT_LT(boost.values[i] - target.values[i], 10.0);
                if (speed.values[i] <= 3400.0) continue;
                EXPECT_NEAR(boost.values[i], target.values[i], 7.0);
            }
        knocks += run.truth.knocks.size();
    }
    EXPECT_LE(knocks, 12u) << "knock on the standard car must stay rare";
}

// An enlarged meter in its old curve reads too little: the mixture turns lean by the area ratio where the loop is open.
TEST(Drive, UnscaledMeterRunsLeanByItsAreaRatio) {
    RigSetup setup = standard_setup(4);
    setup.plan.pulls = 1;
    setup.plan.ambient_temp_c = 20.0;
    const double standard = most_in_pulls(must_drive(setup), Signal::lambda, 3500.0);
    setup.hardware_fitted = true;
    const double fitted = most_in_pulls(must_drive(setup), Signal::lambda, 3500.0);
    const double area = (72.5 / 70.0) * (72.5 / 70.0);
    EXPECT_NEAR(fitted / standard, area, 0.02);
    EXPECT_GT(fitted, 0.92);
}

TEST(Drive, MoreBoostInTheTableMakesMoreTorqueAndMoreSparkMakesMoreKnock) {
    RigSetup setup = standard_setup(6);
    setup.plan.pulls = 1;
    const RigRun before = must_drive(setup);
    TableSet changed = example_tables_read();
    for (Table& table : changed.tables) {
        if (table.name() == "BOOST_TARGET")
            for (double& kpa : table.values) kpa += 8.0;
        if (table.name() == "SPARK_MAIN")
            for (double& deg : table.values) deg += 7.0;
    }
    RigSetup more{.job = setup.job, .tables = changed, .seed = 6, .plan = setup.plan};
    more.hardware_fitted = false;
    const RigRun after = must_drive(more);
    EXPECT_GT(after.truth.pulls[0].peak_torque_nm, before.truth.pulls[0].peak_torque_nm + 8.0);
    EXPECT_GT(after.truth.knocks.size(), before.truth.knocks.size() + 5);
    // Every true knock steps that cylinder's logged retard up.
    for (const TruthKnock& knock : after.truth.knocks) {
        const Series retard = series_of(after.log, Signal::knock_retard_deg, knock.cylinder);
        const auto at = index_at(retard, knock.time_s);
        ASSERT_TRUE(at);
        const std::size_t next = std::min(*at + 2, retard.size() - 1);
        EXPECT_GT(std::max(retard.values[*at + 1], retard.values[next]), 0.0);
    }
}

TEST(Drive, PlantedStretchesAreLabelledAsPlanted) {
    using enum StretchKind;
    RigSetup setup = standard_setup(8);
    setup.plan.pulls = 1;
    setup.plan.cool_down_s = 4.0;
    setup.plan.stretches = {part_pedal, stab, shift_at_full, lift_off, wheel_slip, clutch_slip, intervention};
    const Truth truth = must_drive(setup).truth;
    const ExclusionReason wanted[] = {ExclusionReason::part_pedal,  ExclusionReason::too_short,
                                      ExclusionReason::shift,       ExclusionReason::lift_off,
                                      ExclusionReason::wheel_slip,  ExclusionReason::clutch_slip,
                                      ExclusionReason::intervention};
    std::vector<ExclusionReason> found;
    for (const TruthExcluded& e : truth.excluded) {
        EXPECT_LT(e.start_s, e.end_s);
        found.push_back(e.reason);
    }
    EXPECT_TRUE(std::ranges::equal(found, wanted)) << found.size();
    // One normal pull, two beside the shift, two beside the lift, and the good parts beside slip and intervention.
    EXPECT_GE(truth.pulls.size(), 8u);
}

TEST(Drive, ColdOilExcludesTheFirstPullOnly) {
    RigSetup setup = standard_setup(8);
    setup.plan.pulls = 2;
    setup.plan.stretches = {StretchKind::cold_oil};
    const Truth truth = must_drive(setup).truth;
    ASSERT_EQ(truth.excluded.size(), 1u);
    EXPECT_EQ(truth.excluded[0].reason, ExclusionReason::cold_oil);
    EXPECT_EQ(truth.pulls.size(), 1u);
}

TEST(Drive, LoggersDifferInRateAndRefresh) {
    RigSetup setup = standard_setup(3);
    setup.plan.pulls = 1;
    setup.logger = LoggerKind::mixed_25hz;
    const RigRun mixed = must_drive(setup);
    const Series oil = series_of(mixed.log, Signal::oil_temp_c);
    for (std::size_t i = 0; i < oil.size(); ++i) EXPECT_EQ(oil.values[i], oil.values[i - i % 25]);
    EXPECT_NEAR(static_cast<double>(oil.size()) / (oil.times.back() - oil.times.front()), 25.0, 0.1);
    setup.logger = LoggerKind::even_10hz;
    const RigRun slow = must_drive(setup);
    EXPECT_NEAR(static_cast<double>(slow.log.time_bases[0].seconds.size()) / slow.log.span().end_s, 10.0, 0.1);
    EXPECT_TRUE(std::ranges::is_sorted(slow.log.time_bases[0].seconds, std::less_equal{}));
}

TEST(Drive, RefusesWhatItCannotDrive) {
    RigSetup setup = standard_setup(1);
    setup.faults = {{"gremlins"}};
    ASSERT_FALSE(drive(setup));
    EXPECT_NE(drive(setup).error().what.find("gremlins"), std::string::npos);
    setup.faults.clear();
    setup.plan.pulls = 0;
    EXPECT_FALSE(drive(setup));
    const TableSet nothing;
    const auto run = drive(RigSetup{.job = setup.job, .tables = nothing});
    ASSERT_FALSE(run);
    EXPECT_NE(run.error().what.find("SPARK_MAIN"), std::string::npos);
}

}  // namespace
}  // namespace revwright::rig
