#include "review/pulls.h"

#include <gtest/gtest.h>

#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::DriveOptions;
using testing::Moment;
using testing::TestDrive;

PullSearch search(const TestDrive& drive) { return find_pulls(drive.log(), testing::test_job(), 0); }

/// Exactly one refused stretch, for this reason, that overlaps from..to.
void expect_refused(const PullSearch& found, ExclusionReason reason, double from, double to) {
    ASSERT_EQ(found.excluded.size(), 1u);
    EXPECT_EQ(to_string(found.excluded[0].reason), to_string(reason));
    EXPECT_LE(found.excluded[0].start_s, to);
    EXPECT_GE(found.excluded[0].end_s, from);
}

TEST(Pulls, CleanPullsAreFoundWithTheirEndsGearAndSpeeds) {
    for (const double hz : {10.0, 20.0, 50.0}) {
        SCOPED_TRACE(hz);
        TestDrive drive({.hz = hz});
        drive.clean_pulls(2);
        const PullSearch found = search(drive);
        EXPECT_TRUE(found.excluded.empty());
        ASSERT_EQ(found.pulls.size(), 2u);
        EXPECT_NEAR(found.pulls[0].start_s, 9.0, 0.2);
        EXPECT_NEAR(found.pulls[0].end_s, 16.0, 2.0 / hz);
        EXPECT_NEAR(found.pulls[1].start_s, 21.0, 0.2);
        EXPECT_EQ(found.pulls[1].gear, 3);
        EXPECT_NEAR(found.pulls[1].speed_from_rpm, 1800.0, 130.0);
        EXPECT_NEAR(found.pulls[1].speed_to_rpm, 6300.0, 135.0);
    }
}

TEST(Pulls, StartIsWhereSpeedBeginsToRiseIfThatIsLater) {
    TestDrive drive;
    drive.idle(3.0)
        .cruise(4.0, 3, 2000.0)
        .accelerate(3, 2000.0, 2000.0, 1.0, 100.0)
        .full(3, 2000.0, 5000.0, 4.0)
        .idle(2.0);
    const PullSearch found = search(drive);
    ASSERT_EQ(found.pulls.size(), 1u);
    EXPECT_NEAR(found.pulls[0].start_s, 8.0, 0.3);
}

TEST(Pulls, GearComesFromTheRatioWhereNoChannelSaysIt) {
    const auto worn = [](Moment& m) { m.road_kmh *= 1.035; };  // a fast speedometer
    TestDrive drive({.tweak = worn, .without = {Signal::gear, Signal::gearbox_input_rpm, Signal::gnss_speed_km_h}});
    drive.idle(3.0)
        .cruise(3.0, 2, 2000.0)
        .full(2, 2000.0, 5500.0, 4.0)
        .cruise(4.0, 4, 2000.0)
        .full(4, 2000.0, 4500.0, 6.0);
    const PullSearch found = search(drive);
    ASSERT_EQ(found.pulls.size(), 2u);
    EXPECT_EQ(found.pulls[0].gear, 2);
    EXPECT_EQ(found.pulls[1].gear, 4);
}

TEST(Pulls, WithoutGearAndRoadSpeedAPullHasNoGear) {
    TestDrive drive({.without = {Signal::gear, Signal::vehicle_speed_km_h, Signal::gnss_speed_km_h}});
    drive.clean_pulls(1);
    const PullSearch found = search(drive);
    ASSERT_EQ(found.pulls.size(), 1u);
    EXPECT_FALSE(found.pulls[0].gear.has_value());
}

TEST(Pulls, AFrozenRoadSpeedIsNoSlip) {
    for (const bool whole_log : {true, false}) {
        DriveOptions options;
        options.without = {Signal::gnss_speed_km_h};
        options.noise = 0.0;
        options.tweak = [=](Moment& m) {
            if (whole_log || m.pull == 0) m.road_kmh = 50.0;
        };
        TestDrive drive(options);
        drive.clean_pulls(2);
        const PullSearch found = search(drive);
        EXPECT_EQ(found.pulls.size(), 2u);
        EXPECT_TRUE(found.excluded.empty());
    }
}

TEST(Pulls, WithoutPedalTheThrottleStandsIn) {
    TestDrive drive({.without = {Signal::pedal_pct}});
    drive.clean_pulls(1);
    EXPECT_EQ(search(drive).pulls.size(), 1u);
    TestDrive neither({.without = {Signal::pedal_pct, Signal::throttle_pct}});
    neither.clean_pulls(1);
    EXPECT_TRUE(search(neither).pulls.empty());
}

TEST(Pulls, PartPedalIsRefused) {
    TestDrive drive;
    drive.idle(2.0).cruise(3.0, 3, 2000.0).accelerate(3, 2000.0, 5000.0, 6.0, 80.0).cruise(2.0, 3, 2000.0);
    const PullSearch found = search(drive);
    EXPECT_TRUE(found.pulls.empty());
    expect_refused(found, ExclusionReason::part_pedal, 5.0, 11.0);
}

TEST(Pulls, AStabIsTooShortAndTheBoundariesHold) {
    TestDrive stab, narrow, just;
    stab.cruise(3.0, 3, 2000.0).full(3, 2000.0, 3200.0, 1.3).cruise(4.0, 3, 2000.0);
    narrow.cruise(3.0, 3, 2000.0).full(3, 2000.0, 2700.0, 3.0).cruise(4.0, 3, 2000.0);
    just.cruise(3.0, 3, 2000.0).full(3, 2000.0, 2900.0, 1.7).cruise(4.0, 3, 2000.0);
    expect_refused(search(stab), ExclusionReason::too_short, 3.0, 4.3);
    expect_refused(search(narrow), ExclusionReason::too_short, 3.0, 6.0);
    EXPECT_EQ(search(just).pulls.size(), 1u);
}

TEST(Pulls, AShiftAtFullPedalLeavesTheStretchBeforeIt) {
    TestDrive drive;
    drive.cruise(3.0, 3, 2000.0).full(3, 2000.0, 5200.0, 5.0).full(4, 3900.0, 4300.0, 1.2).cruise(4.0, 4, 2500.0);
    const PullSearch found = search(drive);
    ASSERT_EQ(found.pulls.size(), 1u);
    EXPECT_NEAR(found.pulls[0].end_s, 8.0, 0.2);
    expect_refused(found, ExclusionReason::shift, 8.0, 9.2);
}

TEST(Pulls, ALiftOffInTheMiddleIsNamed) {
    TestDrive drive;
    drive.cruise(3.0, 3, 2000.0).full(3, 2000.0, 4000.0, 3.0).accelerate(3, 4000.0, 3900.0, 0.6, 20.0);
    drive.full(3, 3900.0, 4400.0, 1.0).cruise(4.0, 3, 2000.0);
    const PullSearch found = search(drive);
    ASSERT_EQ(found.pulls.size(), 1u);
    EXPECT_NEAR(found.pulls[0].end_s, 6.0, 0.2);
    expect_refused(found, ExclusionReason::lift_off, 6.0, 6.6);
}

/// A pull of 5 s, tweaked from 2 to 3 s into it.
PullSearch tweaked(int gear, const testing::Tweak& at_two_seconds) {
    DriveOptions options;
    options.tweak = [=](Moment& m) {
        if (m.pull >= 0 && m.since > 2.0 && m.since < 3.0) at_two_seconds(m);
    };
    TestDrive drive(options);
    drive.cruise(3.0, gear, 2000.0).full(gear, 2000.0, 6000.0, 5.0).cruise(4.0, gear, 2000.0);
    return search(drive);
}

TEST(Pulls, WheelSlipIsToldFromClutchSlip) {
    const PullSearch wheels = tweaked(2, [](Moment& m) { m.rpm *= 1.12, m.input_rpm *= 1.12; });
    ASSERT_EQ(wheels.pulls.size(), 2u) << "before and after the slip";
    expect_refused(wheels, ExclusionReason::wheel_slip, 5.0, 6.0);
    const PullSearch clutch = tweaked(4, [](Moment& m) { m.rpm *= 1.08; });
    ASSERT_EQ(clutch.pulls.size(), 2u);
    expect_refused(clutch, ExclusionReason::clutch_slip, 5.0, 6.0);
}

TEST(Pulls, AnInterventionIsShortAndGivenBackALimiterIsNot) {
    const PullSearch short_cut = tweaked(3, [](Moment& m) { m.request *= 0.6; });
    EXPECT_EQ(short_cut.pulls.size(), 2u);
    expect_refused(short_cut, ExclusionReason::intervention, 5.0, 6.0);
    DriveOptions options;
    options.tweak = [](Moment& m) {
        if (m.pull >= 0 && m.since > 2.0) m.request *= 0.7, m.throttle = 60.0;
    };
    TestDrive limiter(options);
    limiter.clean_pulls(1);
    EXPECT_EQ(search(limiter).pulls.size(), 1u) << "a pull with a closing throttle is a pull";
}

TEST(Pulls, ColdOilRefusesBelowEightyDegrees) {
    for (const auto& [oil, pulls] : {std::pair{78.0, 0u}, std::pair{82.0, 1u}}) {
        DriveOptions options;
        options.tweak = [warm = oil](Moment& m) { m.oil = warm; };
        TestDrive drive(options);
        drive.clean_pulls(1);
        const PullSearch found = search(drive);
        EXPECT_EQ(found.pulls.size(), pulls);
        if (pulls == 0) expect_refused(found, ExclusionReason::cold_oil, 9.0, 16.0);
    }
}

TEST(Pulls, TheSpeedLimiterEndsNoPullEarly) {
    DriveOptions options;
    options.tweak = [](Moment& m) {
        if (m.pull >= 0 && m.rpm > 6400.0) m.rpm = 6450.0 - 220.0 * std::abs(std::sin(m.t * 12.0));
    };
    TestDrive drive(options);
    drive.cruise(3.0, 3, 2000.0).full(3, 2000.0, 6500.0, 7.0).cruise(3.0, 3, 2000.0);
    const PullSearch found = search(drive);
    EXPECT_EQ(found.pulls.size(), 1u);
    EXPECT_TRUE(found.excluded.empty());
}

}  // namespace
}  // namespace revwright
