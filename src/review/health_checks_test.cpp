#include <cmath>
#include <gtest/gtest.h>

#include "review/checks_test_log.h"

namespace revwright {
namespace {

using testing::accusations;
using testing::DriveOptions;
using testing::Moment;
using testing::review_log;
using testing::review_pulls;
using testing::severity_of;
using testing::TestDrive;
using testing::unchecked;
using testing::worst;

constexpr double kRates[] = {1.0, 4.0, 10.0, 20.0};

/// A minute of idle and one of cruise without full load.
Review part_load(testing::Tweak tweak, double hz = 4.0, std::set<Signal> without = {}) {
    DriveOptions options{.hz = hz};
    options.tweak = std::move(tweak);
    options.without = std::move(without);
    TestDrive drive(options);
    drive.idle(60.0).cruise(60.0, 4, 2200.0).idle(20.0);
    return review_log(drive.log());
}

TEST(Battery, LowWhileTheEngineRunsIsAWatch) {
    for (const double hz : kRates) {
        EXPECT_EQ(severity_of(part_load({}, hz), "battery"), Severity::clear);
        const Review low = part_load(
            [](Moment& m) {
                if (m.t > 70.0 && m.t < 90.0) m.battery = 12.2;
            },
            hz);
        EXPECT_EQ(severity_of(low, "battery"), Severity::watch) << hz;
        EXPECT_NEAR(worst(low, "battery")->value, 12.2, 0.2);
        EXPECT_NEAR(worst(low, "battery")->duration_s, 20.0, 2.5);
        const Review dent = part_load(
            [](Moment& m) {
                if (m.t > 70.0 && m.t < 71.5) m.battery = 11.5;
            },
            hz);
        EXPECT_EQ(severity_of(dent, "battery"), Severity::clear) << "a consumer was switched on";
    }
}

TEST(Battery, AStandingEngineAndItsStarterAreNotJudged) {
    const Review found = part_load([](Moment& m) {
        if (m.t < 10.0) m.rpm = 0.0, m.battery = 12.3;
        if (m.t >= 10.0 && m.t < 12.0) m.rpm = 250.0, m.battery = 9.5;
        if (m.t >= 12.0 && m.t < 15.0) m.battery = 12.0;
    });
    EXPECT_EQ(severity_of(found, "battery"), Severity::clear) << accusations(found);
    const Review dead = part_load([](Moment& m) { m.battery = 0.0; });
    EXPECT_NE(unchecked(dead, "battery"), nullptr);
}

TEST(FuelTrim, WarmMediansAreJudgedAtIdleAndCruiseApart) {
    const auto with = [](double idle, double cruise) {
        return part_load([=](Moment& m) {
            m.trim_long = m.gear == 0 ? idle : cruise;
            m.trim_short = 1.5 * std::sin(m.t);
        });
    };
    EXPECT_EQ(severity_of(with(5.0, -5.0), "fuel-trim"), Severity::clear);
    EXPECT_EQ(severity_of(with(1.0, 9.5), "fuel-trim"), Severity::watch);
    EXPECT_EQ(severity_of(with(-13.5, 2.0), "fuel-trim"), Severity::mend);
    EXPECT_EQ(severity_of(with(17.0, 16.5), "fuel-trim"), Severity::stop);
    const Review idle = with(13.5, 2.0), cruise = with(2.0, 13.5), both = with(13.5, 14.0);
    EXPECT_NE(worst(idle, "fuel-trim")->text.find("at idle alone"), std::string::npos);
    EXPECT_EQ(worst(idle, "fuel-trim")->levers, std::vector<std::string>{"hardware"});
    EXPECT_NE(worst(cruise, "fuel-trim")->text.find("off idle alone"), std::string::npos);
    EXPECT_NE(worst(both, "fuel-trim")->text.find("everywhere"), std::string::npos);
    EXPECT_FALSE(worst(both, "fuel-trim")->pull.has_value());
}

TEST(FuelTrim, ColdFullLoadAndOverrunAreLeftOut) {
    const auto trims = [](double pct) { return [=](Moment& m) { m.trim_long = pct, m.trim_short = std::sin(m.t); }; };
    const Review cold = part_load([=](Moment& m) { m.coolant = 60.0, trims(20.0)(m); });
    ASSERT_NE(unchecked(cold, "fuel-trim"), nullptr);
    EXPECT_EQ(worst(cold, "fuel-trim"), nullptr);
    DriveOptions options;
    options.tweak = [=](Moment& m) { trims(m.pull >= 0 ? 20.0 : 1.0)(m); };
    TestDrive pulls(options);
    pulls.idle(40.0).clean_pulls(3);
    EXPECT_EQ(severity_of(review_log(pulls.log()), "fuel-trim"), Severity::clear);
    options.tweak = [=](Moment& m) { trims(m.pedal < 1.0 && m.gear > 0 ? 25.0 : 1.0)(m); };
    TestDrive overrun(options);
    overrun.idle(40.0).cruise(20.0, 4, 3000.0).accelerate(4, 3000.0, 1500.0, 20.0, 0.0).cruise(20.0, 4, 2500.0);
    EXPECT_EQ(severity_of(review_log(overrun.log()), "fuel-trim"), Severity::clear);
}

TEST(FuelTrim, TrimsThatNeverMoveAreNotJudged) {
    TestDrive drive({.hz = 4.0});
    drive.idle(60.0).cruise(60.0, 4, 2200.0);
    Log log = drive.log();
    for (Channel& channel : log.channels)
        if (channel.key->signal == Signal::trim_short_pct) std::ranges::fill(channel.values, 0.0);
    const Review found = review_log(log);
    EXPECT_NE(unchecked(found, "fuel-trim"), nullptr);
    EXPECT_NE(unchecked(part_load({}, 4.0, {Signal::coolant_temp_c}), "fuel-trim"), nullptr);
}

/// One more misfire every `every` seconds while `when` holds.
testing::Tweak misfires(double every, std::function<bool(const Moment&)> when) {
    return [=, count = 0.0, next = 0.0](Moment& m) mutable {
        if (when(m) && m.t >= next) count += 1.0, next = m.t + every;
        m.misfires = count;
    };
}

TEST(Misfire, AnyInAPullIsAMendAndTwoPercentAStop) {
    DriveOptions options;
    EXPECT_EQ(severity_of(review_pulls(options), "misfire"), Severity::clear);
    // 4,000 rpm on four cylinders: 133 events a second.
    options.tweak = misfires(0.5, [](const Moment& m) { return m.pull == 1 && m.rpm > 3800.0 && m.rpm < 4400.0; });
    const Review some = review_pulls(options);
    EXPECT_EQ(severity_of(some, "misfire"), Severity::mend) << accusations(some);
    EXPECT_EQ(worst(some, "misfire")->pull, 1u);
    EXPECT_NEAR(worst(some, "misfire")->engine_speed_rpm, 4100.0, 400.0);
    options.tweak = misfires(0.1, [](const Moment& m) { return m.pull == 0; });
    EXPECT_EQ(severity_of(review_pulls(options), "misfire"), Severity::stop);
}

TEST(Misfire, OutsideFullLoadAFewAreAWatchAndOnePercentAMend) {
    const auto severity = [](double every) {
        return severity_of(part_load(misfires(every, [](const Moment& m) { return m.gear == 4; }), 10.0), "misfire");
    };
    // 2,200 rpm: 1,000 revolutions last 27 s, 2,000 events.
    EXPECT_EQ(severity(20.0), Severity::clear);
    EXPECT_EQ(severity(3.0), Severity::watch);
    EXPECT_EQ(severity(0.8), Severity::mend);
}

TEST(Misfire, ACounterThatWrapsOrIsResetOrSetHasCountedNothing) {
    for (const double from : {250.0, 65535.0, 3.0}) {
        DriveOptions options;
        options.tweak = [=](Moment& m) { m.misfires = m.t < 13.0 ? from : 0.0; };
        EXPECT_EQ(severity_of(review_pulls(options), "misfire"), Severity::clear) << from;
    }
    DriveOptions options;
    options.tweak = [](Moment& m) { m.misfires = m.t < 13.0 ? 0.0 : 5000.0; };
    EXPECT_EQ(severity_of(review_pulls(options), "misfire"), Severity::clear) << "set to what it was yesterday";
    options.tweak = {};
    options.without = {Signal::misfire_count};
    EXPECT_NE(unchecked(review_pulls(options), "misfire"), nullptr);
}

/// An engine started at 10 s with coolant at `coolant` and a probe that wakes up 12 s later.
testing::Tweak started(double coolant, std::function<double(double)> mixture) {
    return [=](Moment& m) {
        m.coolant = std::min(coolant + 0.3 * m.t, 90.0);
        if (m.t < 10.0) m.rpm = 0.0;
        m.mixture = m.mixture_2 = m.t < 22.0 ? 1.99 : mixture(m.t);
        m.lambda_target = 1.0;
    };
}

Review cold_drive(testing::Tweak tweak, double hz = 10.0) {
    DriveOptions options{.hz = hz};
    options.tweak = std::move(tweak);
    TestDrive drive(options);
    drive.idle(90.0).cruise(20.0, 3, 1800.0);
    return review_log(drive.log());
}

TEST(ColdStart, LeanOrRichInTheFirstMinuteIsAWatch) {
    for (const double hz : {4.0, 10.0, 20.0}) {
        const auto severity = [&](double lambda) {
            return severity_of(cold_drive(started(20.0, [=](double) { return lambda; }), hz), "cold-start");
        };
        EXPECT_EQ(severity(0.95), Severity::clear) << hz;
        EXPECT_EQ(severity(1.10), Severity::clear) << hz;
        EXPECT_EQ(severity(1.22), Severity::watch) << hz;
        EXPECT_EQ(severity(0.70), Severity::watch) << hz;
    }
    const Review lean = cold_drive(started(20.0, [](double) { return 1.22; }));
    EXPECT_NEAR(worst(lean, "cold-start")->value, 1.22, 0.02);
}

TEST(ColdStart, AProbeThatWakesUpSlowlyIsNotALeanEngine) {
    // It creeps from open air to the mixture there is.
    for (const double seconds : {4.0, 10.0, 18.0}) {
        const Review found =
            cold_drive(started(20.0, [=](double t) { return 1.0 + 0.99 * std::max(0.0, 1.0 - (t - 22.0) / seconds); }));
        EXPECT_EQ(severity_of(found, "cold-start"), Severity::clear) << seconds << accusations(found);
    }
}

TEST(ColdStart, WithoutOneItIsNotChecked) {
    const Review warm = cold_drive(started(70.0, [](double) { return 1.3; }));
    ASSERT_NE(unchecked(warm, "cold-start"), nullptr);
    EXPECT_EQ(unchecked(warm, "cold-start")->standing, Standing::where_fitted);
    // Driven off at once: on overrun the probe sees air.
    DriveOptions options;
    options.tweak = [](Moment& m) {
        m.coolant = 15.0 + 0.2 * m.t;
        if (m.pedal < 1.0 && m.gear > 0) m.mixture = m.mixture_2 = 1.8;
    };
    TestDrive drive(options);
    drive.idle(5.0).cruise(8.0, 3, 2500.0).accelerate(3, 2500.0, 1500.0, 8.0, 0.0).cruise(20.0, 3, 2000.0);
    const Review overrun = review_log(drive.log());
    EXPECT_EQ(severity_of(overrun, "cold-start"), Severity::clear) << accusations(overrun);
}

}  // namespace
}  // namespace revwright
