#include <gtest/gtest.h>

#include "review/checks_test_log.h"
#include "review/speed_limiter.h"

namespace revwright {
namespace {

using testing::accusations;
using testing::DriveOptions;
using testing::Moment;
using testing::review_log;
using testing::review_pulls;
using testing::severity_of;
using testing::test_job;
using testing::TestDrive;
using testing::unchecked;
using testing::worst;

constexpr double kRates[] = {8.0, 10.0, 20.0, 50.0};

TEST(TorqueCapacity, IsJudgedAgainstTheWeakestPartAtKSigma) {
    JobSheet job = test_job();
    EXPECT_NE(unchecked(review_pulls({}, job), "torque-capacity"), nullptr) << "no capacity is stated";
    // The test car makes 320 Nm: 352 Nm at two deviations of 5 %.
    const auto severity = [&](double gearbox) {
        job.car.gearbox_torque_nm = {gearbox};
        return severity_of(review_pulls({}, job), "torque-capacity");
    };
    EXPECT_EQ(severity(420.0), Severity::clear);
    EXPECT_EQ(severity(375.0), Severity::watch);
    EXPECT_EQ(severity(345.0), Severity::mend);
    EXPECT_EQ(severity(280.0), Severity::stop);
    job.car.gearbox_torque_nm = {420.0};
    job.car.clutch_torque_nm = 340.0;
    const Review clutch = review_pulls({}, job);
    ASSERT_NE(worst(clutch, "torque-capacity"), nullptr);
    EXPECT_NE(worst(clutch, "torque-capacity")->text.find("340 Nm that the clutch"), std::string::npos)
        << worst(clutch, "torque-capacity")->text;
    EXPECT_TRUE(worst(clutch, "torque-capacity")->modelled);
}

TEST(TorqueCapacity, TakesTheGearOfThePull) {
    JobSheet job = test_job();
    job.car.gearbox_torque_nm = {250.0, 300.0, 420.0, 420.0, 420.0};
    EXPECT_EQ(severity_of(review_pulls({}, job), "torque-capacity"), Severity::clear) << "third gear carries 420 Nm";
    job.car.gearbox_torque_nm[2] = 330.0;
    EXPECT_EQ(severity_of(review_pulls({}, job), "torque-capacity"), Severity::mend);
}

// Half a second in which the engine runs away from the gearbox by up to `rpm`.
testing::Tweak slips(double rpm) {
    return [=](Moment& m) {
        if (m.pull == 0 && m.since > 3.0 && m.since < 3.6) m.input_rpm = m.rpm - rpm;
    };
}

TEST(GearSlip, IsFoundFromFiftyRpmOnAndNeverInACleanLog) {
    for (const double hz : kRates) {
        DriveOptions options{.hz = hz};
        EXPECT_EQ(severity_of(review_pulls(options), "gear-slip"), Severity::clear) << hz;
        options.tweak = slips(80.0);
        const Review found = review_pulls(options);
        EXPECT_EQ(severity_of(found, "gear-slip"), Severity::mend) << hz;
        EXPECT_EQ(worst(found, "gear-slip")->pull, 0u);
        EXPECT_NEAR(worst(found, "gear-slip")->engine_speed_rpm, 3920.0, 300.0);
        options.tweak = slips(25.0);
        EXPECT_EQ(severity_of(review_pulls(options), "gear-slip"), Severity::clear) << hz;
    }
}

TEST(GearSlip, ALateInputSpeedIsNoSlip) {
    for (const double late : {0.05, 0.1}) {
        // Part load tells how late the signal is.
        DriveOptions options;
        options.tweak = [=](Moment& m) {
            const double rate = m.pull >= 0 ? 4500.0 / 7.0 : m.pedal == 40.0 ? 375.0 : 0.0;
            m.input_rpm = m.rpm - late * rate;
        };
        TestDrive whole(options);
        whole.idle(3.0).accelerate(3, 1500.0, 3000.0, 4.0, 40.0).clean_pulls(2);
        EXPECT_EQ(severity_of(review_log(whole.log()), "gear-slip"), Severity::clear)
            << late << accusations(review_log(whole.log()));
    }
}

TEST(GearSlip, ASlowInputSpeedIsNotJudged) {
    TestDrive drive;
    drive.clean_pulls(2);
    Log log = drive.log();
    for (Channel& channel : log.channels)
        if (channel.key->signal == Signal::gearbox_input_rpm)
            for (std::size_t i = 0; i < channel.values.size(); ++i) channel.values[i] = channel.values[i - i % 10];
    const Review found = review_log(log);
    ASSERT_NE(unchecked(found, "gear-slip"), nullptr);
    EXPECT_EQ(unchecked(found, "gear-slip")->missing, std::vector<std::string>{"gearbox_input_rpm"});
}

TEST(GearSlip, ARefusedStretchIsNamedOnceAndOutsideAnyPull) {
    for (const bool measured : {true, false}) {
        DriveOptions options;
        if (!measured) options.without = {Signal::gearbox_input_rpm};
        options.tweak = [](Moment& m) {
            if (m.pull != 0 || m.since < 3.0 || m.since > 4.2) return;
            const double slip = 0.12 * std::sin(3.14159 * (m.since - 3.0) / 1.2);
            m.road_kmh *= 1.0 - slip, m.gnss_kmh = m.road_kmh, m.input_rpm *= 1.0 - slip;
        };
        TestDrive drive(options);
        drive.idle(4.0).cruise(5.0, 4, 1800.0).full(4, 1800.0, 6300.0, 9.0).cruise(3.0, 4, 2000.0);
        const Review found = review_log(drive.log());
        EXPECT_EQ(std::ranges::count(found.excluded, ExclusionReason::clutch_slip, &Excluded::reason), 1);
        EXPECT_EQ(std::ranges::count_if(
                      found.findings,
                      [](const Finding& f) { return f.check == "gear-slip" && f.severity == Severity::mend; }),
                  1)
            << accusations(found);
        EXPECT_FALSE(worst(found, "gear-slip")->pull.has_value());
        EXPECT_NEAR(worst(found, "gear-slip")->value, 430.0, 90.0) << worst(found, "gear-slip")->text;
    }
}

Review shifted(double seconds, const JobSheet& job, double hz = 20.0) {
    TestDrive drive({.hz = hz});
    drive.idle(4.0).cruise(4.0, 3, 1800.0).full(3, 1800.0, 6000.0, 6.0);
    drive.accelerate(0, 6000.0, 4500.0, seconds, 100.0).full(4, 4500.0, 6300.0, 5.0).cruise(3.0, 4, 2000.0);
    return review_log(drive.log(), job);
}

TEST(ShiftTime, IsJudgedOnlyWhereTheJobSetsIt) {
    JobSheet job = test_job();
    EXPECT_EQ(worst(shifted(0.6, job), "shift-time"), nullptr);
    EXPECT_EQ(unchecked(shifted(0.6, job), "shift-time"), nullptr);
    job.limits.override_with("shift_time_s", {0.35, "agreed with the customer"});
    EXPECT_EQ(severity_of(shifted(0.25, job), "shift-time"), Severity::clear);
    const Review slow = shifted(0.6, job);
    ASSERT_NE(worst(slow, "shift-time"), nullptr);
    EXPECT_EQ(worst(slow, "shift-time")->severity, Severity::watch);
    EXPECT_NEAR(worst(slow, "shift-time")->value, 0.6, 0.06) << worst(slow, "shift-time")->text;
    EXPECT_NE(unchecked(review_pulls({}, job), "shift-time"), nullptr) << "no shift in this drive";
}

TEST(SpeedLimiter, IsReachedWhereTheSpeedStopsRisingNotWhereItPassesTheLastRpm) {
    for (const double hz : kRates) {
        for (const double amplitude : {0.0, 60.0}) {
            DriveOptions options{.hz = hz};
            options.tweak = [=](Moment& m) {
                if (m.pull < 0) return;
                if (m.rpm > 6480.0) m.rpm = 6480.0 + amplitude * std::sin(2.0 * 3.14159 * 6.0 * m.since);
                m.input_rpm = m.rpm;
            };
            TestDrive drive(options);
            drive.idle(4.0).cruise(4.0, 3, 1800.0).full(3, 1800.0, 7300.0, 8.5).cruise(3.0, 3, 2000.0);
            const Review found = review_log(drive.log());
            EXPECT_EQ(severity_of(found, "speed-limiter"), Severity::watch) << hz << accusations(found);
            EXPECT_NEAR(worst(found, "speed-limiter")->engine_speed_rpm, 6450.0, 120.0);
        }
        TestDrive passing({.hz = hz});
        passing.idle(4.0).cruise(4.0, 3, 1800.0).full(3, 1800.0, 6490.0, 20.0).cruise(3.0, 3, 2000.0);
        EXPECT_EQ(severity_of(review_log(passing.log()), "speed-limiter"), Severity::clear) << hz;
    }
}

TEST(SpeedLimiter, HoldsRoadSpeedAgainstTheTyre) {
    // Symbols of UN Regulation 30.
    EXPECT_EQ(tyre_speed_km_h({.speed_symbol = "T"}), 190.0);
    EXPECT_EQ(tyre_speed_km_h({.speed_symbol = "H"}), 210.0);
    EXPECT_EQ(tyre_speed_km_h({.speed_symbol = "V"}), 240.0);
    EXPECT_EQ(tyre_speed_km_h({.speed_symbol = "Y"}), 300.0);
    EXPECT_FALSE(tyre_speed_km_h({.speed_symbol = "Z"}));
    EXPECT_FALSE(tyre_speed_km_h({}));
    // Fifth gear at 6,450 rpm: 222 km/h.
    const auto severity = [](const char* symbol, std::set<Signal> without = {}) {
        JobSheet job = test_job();
        job.car.tyre.speed_symbol = symbol;
        DriveOptions options;
        options.without = std::move(without);
        TestDrive drive(options);
        drive.idle(4.0).cruise(4.0, 5, 2000.0).full(5, 2000.0, 6450.0, 20.0).cruise(3.0, 4, 2000.0);
        return severity_of(review_log(drive.log(), job), "speed-limiter");
    };
    EXPECT_EQ(severity("V"), Severity::clear);
    EXPECT_EQ(severity("H"), Severity::mend);
    EXPECT_EQ(severity("T"), Severity::stop);
    EXPECT_EQ(severity(""), Severity::clear);
    EXPECT_EQ(severity("T", {Signal::gnss_speed_km_h, Signal::vehicle_speed_km_h}), Severity::stop)
        << "worked out from engine speed and gear";
}

}  // namespace
}  // namespace revwright
