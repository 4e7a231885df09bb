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
using testing::test_job;
using testing::TestDrive;
using testing::unchecked;
using testing::worst;

constexpr double kRates[] = {4.0, 10.0, 20.0, 50.0};

/// The request falls with engine speed as torque curves do.
double natural(const Moment& m) { return 350.0 - 120.0 * std::clamp((m.rpm - 4500.0) / 1800.0, 0.0, 1.0); }

TEST(TorqueIntervention, AFallIsFoundButNotTheNaturalOne) {
    for (const double hz : kRates) {
        DriveOptions options{.hz = hz};
        options.tweak = [](Moment& m) {
            if (m.pull >= 0) m.request = natural(m);
        };
        EXPECT_EQ(severity_of(review_pulls(options), "torque-intervention"), Severity::clear) << hz;
        options.tweak = [](Moment& m) {
            if (m.pull < 0) return;
            m.request = natural(m);
            if (m.pull == 1 && m.since > 3.0 && m.since < 3.6) m.request *= 0.86;
        };
        const Review found = review_pulls(options);
        EXPECT_EQ(severity_of(found, "torque-intervention"), Severity::watch) << hz << accusations(found);
        EXPECT_EQ(worst(found, "torque-intervention")->pull, 1u);
        EXPECT_NEAR(worst(found, "torque-intervention")->value, 49.0, 12.0);
        EXPECT_NEAR(worst(found, "torque-intervention")->engine_speed_rpm, 3920.0, 350.0);
    }
}

TEST(TorqueIntervention, ARefusedStretchIsNamedOutsideAnyPull) {
    DriveOptions options;
    options.tweak = [](Moment& m) {
        if (m.pull == 0 && m.since > 3.0 && m.since < 3.6) m.request = 190.0;
    };
    const Review found = review_pulls(options);
    EXPECT_EQ(std::ranges::count(found.excluded, ExclusionReason::intervention, &Excluded::reason), 1);
    EXPECT_EQ(std::ranges::count_if(
                  found.findings,
                  [](const Finding& f) { return f.check == "torque-intervention" && f.severity == Severity::watch; }),
              1)
        << accusations(found);
    EXPECT_FALSE(worst(found, "torque-intervention")->pull.has_value());
    EXPECT_NEAR(worst(found, "torque-intervention")->value, 160.0, 1.0);
    EXPECT_NEAR(worst(found, "torque-intervention")->duration_s, 0.6, 0.11);
}

/// The throttle closes around 4,300 rpm for the reason that `why` writes into the drive.
Review closed(testing::Tweak why, std::set<Signal> without = {}, const TableSet* tables = nullptr,
              const JobSheet& job = test_job()) {
    DriveOptions options;
    options.without = std::move(without);
    options.tweak = [=](Moment& m) {
        if (m.pull < 0 || m.rpm < 4000.0 || m.rpm > 4800.0) return;
        m.throttle = 68.0;
        why(m);
    };
    TestDrive drive(options);
    drive.clean_pulls(2);
    return review_log(drive.log(), job, tables);
}

const Finding& throttle_of(const Review& review) {
    const Finding* found = worst(review, "throttle-closing");
    EXPECT_NE(found, nullptr);
    EXPECT_EQ(found->severity, Severity::mend);
    return *found;
}

bool says(const Finding& found, std::string_view words) { return found.text.find(words) != std::string::npos; }

TEST(ThrottleCause, ARequestThatFellIsATorqueLimit) {
    const Review found = closed([](Moment& m) { m.request = 290.0; });
    EXPECT_TRUE(says(throttle_of(found), "the torque request fell from 350 to 290 Nm")) << throttle_of(found).text;
    EXPECT_EQ(throttle_of(found).levers, std::vector<std::string>{"torque_limit"});
    EXPECT_EQ(severity_of(found, "torque-intervention"), Severity::clear) << "one cause is said once";
}

TEST(ThrottleCause, BoostOverItsTargetIsCaughtByTheThrottle) {
    DriveOptions options;
    options.tweak = [](Moment& m) {
        if (m.pull < 0) return;
        if (m.rpm > 3800.0 && m.rpm < 4050.0) m.boost += 22.0;
        if (m.rpm > 4000.0 && m.rpm < 4800.0) m.throttle = 68.0;
    };
    const Finding found = throttle_of(review_pulls(options));
    EXPECT_TRUE(says(found, "over its target just before")) << found.text;
    EXPECT_EQ(found.levers, (std::vector<std::string>{"wastegate_duty", "charge_limit"}));
}

TEST(ThrottleCause, HeatIsProtectedAgainst) {
    const Finding found = throttle_of(closed([](Moment& m) { m.intake = 72.0; }));
    EXPECT_TRUE(says(found, "intake air is at 72 C")) << found.text;
}

Table one_value(const char* name, Signal quantity, std::vector<double> speeds, std::vector<double> values) {
    Table table;
    table.description.name = name;
    table.description.quantity = {quantity, 0};
    table.axes = {*Axis::make(name, {Signal::engine_speed_rpm, 0}, std::move(speeds))};
    table.values = table.raw = std::move(values);
    return table;
}

TEST(ThrottleCause, TheTableOfTheImageThatBindsIsNamed) {
    JobSheet job = test_job();
    job.image.emplace();
    job.image->roles[Role::torque_limit] = {{"TORQUE_CAP", "", {}}};
    job.image->roles[Role::charge_limit] = {{"CHARGE_CAP", "", {}}};
    TableSet tables;
    tables.tables.push_back(one_value("TORQUE_CAP", Signal::torque_nm, {2000.0, 6000.0}, {330.0, 310.0}));
    tables.tables.push_back(one_value("CHARGE_CAP", Signal::charge_pct, {2000.0, 6000.0}, {400.0, 400.0}));
    // 4,400 rpm: 318 Nm allowed.
    const Review binds = closed([](Moment& m) { m.torque = 317.0; }, {}, &tables, job);
    EXPECT_TRUE(says(throttle_of(binds), "its limit in TORQUE_CAP is 318")) << throttle_of(binds).text;
    EXPECT_EQ(throttle_of(binds).levers, (std::vector<std::string>{"torque_limit", "torque_to_charge"}));
    tables.tables[0].values = {400.0, 400.0};
    const Review none = closed([](Moment& m) { m.torque = 300.0; }, {}, &tables, job);
    EXPECT_TRUE(says(throttle_of(none), "below the limits of the image")) << throttle_of(none).text;
    tables.tables[1].values = {150.0, 150.0};  // the test car is filled to about 190 %
    const Review charge = closed([](Moment& m) { m.torque = 300.0; }, {}, &tables, job);
    EXPECT_TRUE(says(throttle_of(charge), "CHARGE_CAP")) << throttle_of(charge).text;
    EXPECT_EQ(throttle_of(charge).levers, std::vector<std::string>{"charge_limit"});
}

TEST(ThrottleCause, WhatTheLogDoesNotShowIsSaidWithTheChannelThatWouldTell) {
    const Finding found = throttle_of(closed([](Moment&) {}, {Signal::torque_request_nm, Signal::torque_nm}));
    EXPECT_TRUE(says(found, "does not show which")) << found.text;
    EXPECT_TRUE(says(found, "torque_request_nm, torque_nm would tell")) << found.text;
    EXPECT_EQ(found.levers.size(), 4u) << "any of the row's";
}

TEST(InjectorTime, ShareOfTheCycleForPortAndOfTheWindowForDirectInjection) {
    // 12 ms at 6,000 rpm are 60 % of 720 degrees; a 240 degree window lasts 6.6667 ms there (closed form).
    const auto found = [](Injection kind, double ms) {
        JobSheet job = test_job();
        job.engine.injection = kind;
        DriveOptions options;
        options.noise = 0.0;
        options.tweak = [=](Moment& m) {
            if (m.pull >= 0) m.rpm = m.input_rpm = std::min(m.rpm, 6000.0), m.injector = ms;
        };
        return *worst(review_pulls(options, job), "injector-time");
    };
    EXPECT_NEAR(found(Injection::port, 12.0).value, 60.0, 0.2);
    EXPECT_NEAR(found(Injection::direct, 6.66667).value, 100.0, 0.3);
    EXPECT_EQ(found(Injection::port, 16.5).severity, Severity::clear);
    EXPECT_EQ(found(Injection::port, 17.5).severity, Severity::mend);
    EXPECT_EQ(found(Injection::port, 19.5).severity, Severity::stop);
    EXPECT_EQ(found(Injection::direct, 5.9).severity, Severity::clear);
    EXPECT_EQ(found(Injection::direct, 6.2).severity, Severity::mend);
    EXPECT_EQ(found(Injection::direct, 6.8).severity, Severity::stop);
}

TEST(InjectorTime, AnOverrideKeepsItsReason) {
    JobSheet job = test_job();
    job.limits.override_with("injection_window_pct", {50.0, "a shorter window"});
    const Review found = review_pulls({}, job);
    EXPECT_EQ(severity_of(found, "injector-time"), Severity::mend);
    EXPECT_EQ(worst(found, "injector-time")->source, "job sheet: a shorter window");
}

}  // namespace
}  // namespace revwright
