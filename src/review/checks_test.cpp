#include "review/checks.h"

#include <gtest/gtest.h>

#include "review/review.h"
#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::DriveOptions;
using testing::Moment;
using testing::TestDrive;

/// What a planted fault must raise.
struct Expected {
    const char* check;
    Severity severity;
    double rpm;                            // 0 = anywhere
    std::vector<std::string> levers = {};  // empty = not looked at
};

struct Case {
    const char* name;
    testing::Tweak tweak;
    Expected expected;
    std::vector<std::string_view> may_raise = {};
};

Review review_of(const DriveOptions& options, int pulls = 2, const JobSheet& job = testing::test_job()) {
    TestDrive drive(options);
    drive.clean_pulls(pulls);
    const Log log = drive.log();
    const DrivenLog driven{&log, nullptr, nullptr};
    return review(job, std::span(&driven, 1));
}

std::string listed(const Review& review) {
    std::string all;
    for (const Finding& finding : review.findings)
        if (finding.severity != Severity::clear)
            all += finding.check + " " + std::string(to_string(finding.severity)) + ": " + finding.text + "\n";
    return all;
}

const Finding* worst_of(const Review& review, std::string_view check) {
    for (const Finding& finding : review.findings)
        if (finding.check == check) return &finding;
    return nullptr;
}

/// Within a span of engine speed during pulls.
testing::Tweak between(double from, double to, testing::Tweak change) {
    return [=](Moment& m) {
        if (m.pull >= 0 && m.rpm >= from && m.rpm <= to) change(m);
    };
}

testing::Tweak in_pull(int pull, double from, double to, testing::Tweak change) {
    return [=](Moment& m) {
        if (m.pull == pull && m.rpm >= from && m.rpm <= to) change(m);
    };
}

/// Retard jumps by `step` at `rpm` and decays by 1 degree a second.
testing::Tweak knock(int pull, double rpm, int cylinder, double step) {
    return [=](Moment& m) {
        const double since = (m.rpm - rpm) / 4500.0 * 7.0;
        if ((m.pull == pull || pull < 0) && m.pull >= 0 && since >= 0.0)
            m.retard[static_cast<std::size_t>(cylinder) - 1] =
                std::max(m.retard[static_cast<std::size_t>(cylinder) - 1], step - since);
    };
}

testing::Tweak both(testing::Tweak a, testing::Tweak b) {
    return [=](Moment& m) { a(m), b(m); };
}

const Case kCases[] = {
    {"lean target",
     between(4000, 5000, [](Moment& m) { m.lambda_target = m.mixture = 0.94; }),
     {"lambda-lean", Severity::mend, 4500, {"lambda_target", "air_meter"}}},
    {"lean mixture",
     between(4000, 5000, [](Moment& m) { m.mixture = 0.97; }),
     {"lambda-lean", Severity::stop, 4500, {"air_meter"}},
     {"lambda-follow"}},
    {"rich mixture",
     between(4000, 5000, [](Moment& m) { m.mixture -= 0.06; }),
     {"lambda-follow", Severity::mend, 4500, {"air_meter", "volumetric_efficiency"}}},
    {"a little rich",
     between(4000, 5000, [](Moment& m) { m.mixture -= 0.03; }),
     {"lambda-follow", Severity::watch, 4500}},
    {"one knock", knock(0, 4200, 2, 2.0), {"knock-event", Severity::watch, 4200, {"spark"}}},
    {"same cell twice",
     both(knock(0, 4200, 2, 2.0), knock(1, 4250, 3, 2.0)),
     {"knock-repeated", Severity::mend, 4225, {"spark"}}},
    {"long retard", knock(1, 4200, 2, 4.0), {"knock-repeated", Severity::mend, 4300}},
    {"deep retard", knock(1, 4200, 2, 6.3), {"knock-repeated", Severity::stop, 4200}},
    {"one cylinder",
     [](Moment& m) {
         for (const double rpm : {2100.0, 3000.0, 3900.0, 4800.0, 5700.0})
             knock(m.pull, rpm + 260.0 * m.pull, 3, 3.5)(m);
     },
     {"knock-cylinder", Severity::watch, 0},
     {"knock-event", "knock-repeated"}},
    {"boost low",
     between(4000, 5200, [](Moment& m) { m.boost -= 15; }),
     {"boost-steady", Severity::mend, 4600, {"wastegate_duty"}}},
    {"boost high",
     between(4000, 5200, [](Moment& m) { m.boost += 9; }),
     {"boost-steady", Severity::watch, 4600, {"boost_target", "wastegate_duty"}}},
    {"boost never gets there",
     between(0, 7000, [](Moment& m) { m.boost = 100 + (m.boost - 100) * 0.8; }),
     {"boost-steady", Severity::mend, 0}},
    {"boost overshoots",
     [](Moment& m) {
         if (m.pull >= 0) m.boost += 40.0 * std::exp(-std::pow((m.since - 1.6) / 0.25, 2));
     },
     {"boost-overshoot", Severity::stop, 2850}},
    {"throttle closes",
     between(4000, 4800, [](Moment& m) { m.throttle = 70, m.boost -= 25; }),
     {"throttle-closing", Severity::mend, 4400}},
    {"rail drops",
     between(4500, 5500, [](Moment& m) { m.rail *= 0.86; }),
     {"fuel-pressure", Severity::mend, 5000, {"boost_target", "hardware"}}},
    {"rail collapses", between(4500, 5500, [](Moment& m) { m.rail *= 0.78; }), {"fuel-pressure", Severity::stop, 5000}},
    {"hot intake", between(5000, 7000, [](Moment& m) { m.intake = 68; }), {"intake-temperature", Severity::mend, 5700}},
    {"hot exhaust",
     between(5000, 7000, [](Moment& m) { m.exhaust += 250; }),
     {"exhaust-temperature", Severity::stop, 5700}},
    {"hot coolant",
     in_pull(1, 0, 7000, [](Moment& m) { m.coolant = 112; }),
     {"coolant-window", Severity::mend, 0, {"hardware"}}},
    {"cold coolant", [](Moment& m) { m.coolant = 70; }, {"coolant-window", Severity::watch, 0}},
    {"hot oil", in_pull(1, 0, 7000, [](Moment& m) { m.oil = 142; }), {"oil-window", Severity::stop, 0}},
    {"spike",
     [](Moment& m) {
         if (m.pull == 0 && m.since >= 3.0 && m.since < 3.05) m.boost += 60.0;
     },
     {"log-quality", Severity::watch, 3700}},
};

TEST(Checks, CleanDriveRaisesNothing) {
    for (const double hz : {10.0, 20.0, 50.0})
        for (std::uint64_t seed = 1; seed <= 5; ++seed) {
            const Review found = review_of({.hz = hz, .seed = seed, .two_banks = seed == 2});
            EXPECT_EQ(listed(found), "") << hz << " Hz, seed " << seed;
            for (const NotChecked& entry : found.not_checked) EXPECT_NE(entry.text, "") << entry.check;
            for (const Check& check : all_checks())
                EXPECT_TRUE(worst_of(found, check.id) || check.only_where_limited ||
                            std::ranges::count(found.not_checked, check.id, &NotChecked::check))
                    << check.id;
        }
}

TEST(Checks, EachPlantedFaultIsFoundWhereItIsAndNothingElse) {
    for (const Case& planted : kCases) {
        SCOPED_TRACE(planted.name);
        DriveOptions options;
        options.tweak = planted.tweak;
        const Review found = review_of(options);
        const Finding* finding = worst_of(found, planted.expected.check);
        ASSERT_TRUE(finding) << listed(found);
        EXPECT_EQ(to_string(finding->severity), to_string(planted.expected.severity)) << listed(found);
        if (planted.expected.rpm > 0.0) {
            EXPECT_NEAR(finding->engine_speed_rpm, planted.expected.rpm, 650.0) << finding->text;
        }
        if (!planted.expected.levers.empty()) {
            EXPECT_EQ(finding->levers, planted.expected.levers);
        }
        EXPECT_LE(finding->margin, 0.0);
        for (const Finding& other : found.findings) {
            if (other.severity == Severity::clear || other.check == planted.expected.check) continue;
            EXPECT_EQ(std::ranges::count(planted.may_raise, other.check), 1) << listed(found);
        }
    }
}

TEST(Checks, TheLeanerBankAndTheWorseCylinderDecide) {
    DriveOptions options;
    options.two_banks = true;
    options.tweak = between(4000, 5000, [](Moment& m) { m.mixture_2 = 0.97; });
    const Review found = review_of(options);
    ASSERT_TRUE(worst_of(found, "lambda-lean"));
    EXPECT_EQ(worst_of(found, "lambda-lean")->severity, Severity::stop);
    EXPECT_NE(worst_of(found, "lambda-lean")->text.find("bank 2"), std::string::npos);
    options.two_banks = false;
    options.tweak = knock(0, 4200, 3, 6.5);
    EXPECT_EQ(worst_of(review_of(options), "knock-repeated")->cylinder, 3);
}

TEST(Checks, AThresholdReachedIsAFindingAndOneJustMissedIsNot) {
    const auto severity = [](double celsius) {
        DriveOptions options;
        options.noise = 0.0;
        options.tweak = [=](Moment& m) { m.intake = celsius; };
        return worst_of(review_of(options, 1), "intake-temperature")->severity;
    };
    EXPECT_EQ(severity(64.99), Severity::clear);
    EXPECT_EQ(severity(65.0), Severity::mend);
    EXPECT_EQ(severity(79.99), Severity::mend);
    EXPECT_EQ(severity(80.0), Severity::stop);
}

TEST(Checks, ALeanMomentShorterThanTheTimeConditionPasses) {
    const auto severity = [](double seconds) {
        DriveOptions options;
        options.tweak = [=](Moment& m) {
            if (m.pull == 0 && m.since >= 3.0 && m.since < 3.0 + seconds) m.mixture = 1.05;
        };
        return worst_of(review_of(options), "lambda-lean")->severity;
    };
    EXPECT_EQ(severity(0.1), Severity::clear);
    EXPECT_EQ(severity(0.5), Severity::stop);
}

TEST(Checks, ACheckWithoutItsChannelSaysSo) {
    const struct {
        std::set<Signal> without;
        const char* check;
        const char* missing;
        Standing standing;
    } cases[] = {
        {{Signal::lambda}, "lambda-lean", "lambda", Standing::required},
        {{Signal::lambda_target}, "lambda-follow", "lambda_target", Standing::required},
        {{Signal::knock_retard_deg}, "knock-event", "knock_retard_deg", Standing::required},
        {{Signal::boost_target_kpa}, "boost-steady", "boost_target_kpa", Standing::where_fitted},
        {{Signal::rail_pressure_mpa}, "fuel-pressure", "rail_pressure_mpa", Standing::required},
        {{Signal::rail_pressure_target_mpa}, "fuel-pressure", "rail_pressure_target_mpa", Standing::required},
        {{Signal::exhaust_temp_c}, "exhaust-temperature", "exhaust_temp_c", Standing::modelled},
        {{Signal::oil_temp_c}, "oil-window", "oil_temp_c", Standing::where_fitted},
        {{Signal::coolant_temp_c}, "coolant-window", "coolant_temp_c", Standing::where_fitted},
        {{Signal::intake_temp_c}, "intake-temperature", "intake_temp_c", Standing::where_fitted},
    };
    for (const auto& c : cases) {
        SCOPED_TRACE(c.check);
        DriveOptions options;
        options.without = c.without;
        const Review found = review_of(options, 2);
        const auto entry = std::ranges::find(found.not_checked, c.check, &NotChecked::check);
        ASSERT_NE(entry, found.not_checked.end());
        EXPECT_EQ(entry->missing, std::vector<std::string>{c.missing});
        EXPECT_EQ(entry->standing, c.standing);
        EXPECT_FALSE(worst_of(found, c.check));
    }
}

TEST(Checks, OneUnnamedRetardTraceStandsForTheWorstCylinder) {
    DriveOptions options;
    options.one_retard_trace = true;
    options.tweak = knock(0, 4200, 2, 6.5);
    const Review found = review_of(options);
    EXPECT_EQ(worst_of(found, "knock-repeated")->severity, Severity::stop);
    EXPECT_FALSE(worst_of(found, "knock-repeated")->cylinder.has_value());
    const auto entry = std::ranges::find(found.not_checked, "knock-cylinder", &NotChecked::check);
    ASSERT_NE(entry, found.not_checked.end());
    EXPECT_EQ(entry->missing, std::vector<std::string>{"knock_retard_deg.1"});
}

TEST(Checks, AStuckProbeIsNoLeanEngine) {
    DriveOptions options;
    options.tweak = [](Moment&) {};
    TestDrive drive(options);
    drive.clean_pulls(2);
    Log log = drive.log();
    for (Channel& channel : log.channels)
        if (channel.key->signal == Signal::lambda) std::ranges::fill(channel.values, 1.02);
    const DrivenLog driven{&log, nullptr, nullptr};
    const Review found = review(testing::test_job(), std::span(&driven, 1));
    EXPECT_EQ(worst_of(found, "log-quality")->severity, Severity::mend);
    EXPECT_FALSE(worst_of(found, "lambda-lean"));
    EXPECT_EQ(std::ranges::count(found.not_checked, "lambda-lean", &NotChecked::check), 1);
}

TEST(Checks, AnAirMeterThatFreezesOrIsCutOffIsSeen) {
    for (const bool cut_off : {false, true}) {
        TestDrive drive;
        drive.clean_pulls(2);
        Log log = drive.log();
        for (Channel& channel : log.channels) {
            if (channel.key->signal != Signal::air_mass_flow_g_s) continue;
            for (std::size_t i = 0; i < channel.values.size(); ++i) {
                const double t = log.time_bases[0].seconds[i];
                if (cut_off)
                    channel.values[i] = std::min(channel.values[i], 180.0);
                else if (t > 11.0 && t < 13.0)
                    channel.values[i] = channel.values[i - 1];
            }
        }
        const DrivenLog driven{&log, nullptr, nullptr};
        const Review found = review(testing::test_job(), std::span(&driven, 1));
        const Finding* told = worst_of(found, cut_off ? "sensor-range" : "log-quality");
        ASSERT_TRUE(told) << listed(found);
        EXPECT_EQ(told->severity, cut_off ? Severity::watch : Severity::mend) << listed(found);
        EXPECT_NE(told->text.find("air_mass_flow_g_s"), std::string::npos);
    }
}

TEST(Checks, ColdOilRaisesAWatchOutsideAnyPull) {
    DriveOptions options;
    options.tweak = [](Moment& m) { m.oil = m.pull == 0 ? 70.0 : 95.0; };
    const Review found = review_of(options, 3);
    EXPECT_EQ(found.pulls.size(), 2u);
    ASSERT_TRUE(worst_of(found, "oil-window"));
    EXPECT_EQ(worst_of(found, "oil-window")->severity, Severity::watch);
    EXPECT_FALSE(worst_of(found, "oil-window")->pull.has_value());
}

// The highest sample of a level stretch is noise: it would name another engine speed in every pull.
TEST(Checks, ALevelErrorIsPlacedInItsMiddleWhateverTheNoise) {
    struct Level {
        const char* check;
        testing::Tweak tweak;
    };
    const Level levels[] = {
        {"lambda-lean", between(3600, 5000, [](Moment& m) { m.mixture = 0.96; })},
        {"lambda-follow", between(3600, 5000, [](Moment& m) { m.mixture -= 0.06; })},
        {"boost-steady", between(3600, 5000, [](Moment& m) { m.boost -= 17; })},
        {"fuel-pressure", between(3600, 5000, [](Moment& m) { m.rail *= 0.83; })},
        {"throttle-closing", between(3600, 5000, [](Moment& m) { m.throttle = 62; })},
    };
    for (const Level& level : levels)
        for (std::uint64_t seed = 1; seed <= 5; ++seed) {
            const Review found = review_of({.seed = seed, .tweak = level.tweak});
            for (const Finding& finding : found.findings)
                if (finding.check == level.check) {
                    SCOPED_TRACE(finding.text);
                    EXPECT_GE(finding.severity, Severity::mend);
                    EXPECT_NEAR(finding.engine_speed_rpm, 4300.0, 130.0);
                }
            EXPECT_TRUE(worst_of(found, level.check)) << level.check;
        }
}

TEST(Checks, CoverageNamesTheSpeedsNoPullWentThrough) {
    TestDrive drive;
    for (int i = 0; i < 2; ++i) drive.cruise(4.0, 3, 2000.0).full(3, 2000.0, 4500.0, 5.0);
    drive.cruise(3.0, 3, 2000.0);
    const Log log = drive.log();
    const DrivenLog driven{&log, nullptr, nullptr};
    const Review found = review(testing::test_job(), std::span(&driven, 1));
    ASSERT_TRUE(worst_of(found, "coverage"));
    EXPECT_EQ(worst_of(found, "coverage")->severity, Severity::watch);
    EXPECT_NEAR(worst_of(found, "coverage")->engine_speed_rpm, 4500.0, 60.0);
    const Review one = review_of({}, 1);
    EXPECT_EQ(worst_of(one, "coverage")->value, 1.0) << "one pull, two are needed";
}

TEST(Checks, ALogWithoutAPullLeavesTheRequiredChecksUnchecked) {
    TestDrive drive;
    drive.idle(5.0).cruise(20.0, 4, 2500.0);
    const Log log = drive.log();
    const DrivenLog driven{&log, nullptr, nullptr};
    const Review found = review(testing::test_job(), std::span(&driven, 1));
    for (const char* check : {"lambda-lean", "lambda-follow", "knock-event", "knock-repeated", "fuel-pressure"})
        EXPECT_EQ(std::ranges::count(found.not_checked, check, &NotChecked::check), 1) << check;
}

TEST(Checks, FindingsComeWorstFirstAndPullsAreNumberedOverAllLogs) {
    DriveOptions options;
    options.tweak = both(between(4000, 5000, [](Moment& m) { m.mixture = 0.97; }),
                         in_pull(1, 5000, 7000, [](Moment& m) { m.intake = 68; }));
    TestDrive one(options), two;
    one.clean_pulls(2), two.clean_pulls(2);
    const Log first = two.log(), second = one.log();
    const DrivenLog driven[] = {{&first, nullptr, nullptr}, {&second, nullptr, nullptr}};
    const Review found = review(testing::test_job(), driven);
    ASSERT_EQ(found.pulls.size(), 4u);
    EXPECT_EQ(found.pulls[3].index, 3u);
    EXPECT_EQ(found.pulls[3].log, 1u);
    EXPECT_TRUE(std::ranges::is_sorted(found.findings, std::greater{}, &Finding::severity));
    EXPECT_EQ(worst_of(found, "intake-temperature")->pull, 3u);
    EXPECT_EQ(worst_of(found, "intake-temperature")->log, 1u);
}

Review review_of(const Log& log) {
    const DrivenLog driven{&log, nullptr, nullptr};
    return review(testing::test_job(), std::span(&driven, 1));
}

// At tip-in the probe still shows what was burnt before the charge was there; the target is lean until then.
TEST(Checks, TheMixtureBeforeFullChargeIsNotJudgedButALeanStartIs) {
    const auto found = [](std::uint64_t seed, double later) {
        DriveOptions options;
        options.seed = seed;
        options.tweak = [=](Moment& m) {
            if (m.pull < 0) return;
            const bool building = m.boost < 0.72 * 200.0;
            m.lambda_target = m.mixture = building ? 0.96 : later;
        };
        return review_of(options);
    };
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        EXPECT_EQ(worst_of(found(seed, 0.84), "lambda-lean")->severity, Severity::clear) << listed(found(seed, 0.84));
        const Finding lean = *worst_of(found(seed, 0.96), "lambda-lean");
        EXPECT_EQ(lean.severity, Severity::stop);
        EXPECT_GT(lean.duration_s, 5.0) << lean.text;
    }
}

TEST(Checks, AThrottleMayStandStillUnderFullPedalButNotWhileThePedalMoves) {
    TestDrive drive;
    drive.clean_pulls(2);
    for (const bool dead : {false, true}) {
        Log log = drive.log();
        const std::vector<double>& times = log.time_bases[0].seconds;
        for (Channel& channel : log.channels)
            if (channel.key->signal == Signal::throttle_pct)
                for (std::size_t i = 0; i < times.size(); ++i)
                    if (dead || (times[i] > 11.0 && times[i] < 15.0)) channel.values[i] = 70.0;
        const Review found = review_of(log);
        EXPECT_EQ(worst_of(found, "log-quality")->severity, dead ? Severity::mend : Severity::clear) << listed(found);
        EXPECT_EQ(worst_of(found, "throttle-closing") != nullptr, !dead);
        if (!dead) {
            EXPECT_EQ(worst_of(found, "throttle-closing")->severity, Severity::mend);
            EXPECT_EQ(worst_of(found, "throttle-closing")->value, 70.0);
        }
    }
}

// The target climbs with engine speed; boost is on it all the way and runs past its top.
TEST(Checks, AnExcessAtTheEndOfTheBuildUpIsOvershootAndOneThatLastsIsSteady) {
    const auto found = [](double kpa, double seconds) {
        DriveOptions options;
        options.tweak = [=](Moment& m) {
            if (m.pull < 0) return;
            m.boost_target = std::min(200.0, 150.0 + 30.0 * m.since);
            m.boost = m.boost_target - 10.0 * std::exp(-m.since / 0.1);
            if (m.pull == 0 && m.since >= 1.75 && m.since < 1.75 + seconds) m.boost += kpa;
        };
        return review_of(options);
    };
    const auto is_only = [](const Review& review, std::string_view check, Severity severity) {
        ASSERT_EQ(std::ranges::count_if(review.findings, [](const auto& f) { return f.severity != Severity::clear; }),
                  1)
            << listed(review);
        EXPECT_EQ(review.findings[0].check, check) << listed(review);
        EXPECT_EQ(to_string(review.findings[0].severity), to_string(severity));
    };
    is_only(found(12.0, 0.6), "boost-overshoot", Severity::watch);
    is_only(found(18.0, 0.6), "boost-overshoot", Severity::mend);
    is_only(found(28.0, 0.6), "boost-overshoot", Severity::stop);
    is_only(found(18.0, 4.0), "boost-steady", Severity::mend);
}

TEST(Checks, AHoleInTheRowsUnderFullPedalIsReportedEvenWhereItEndsThePull) {
    TestDrive drive;
    drive.clean_pulls(2);
    for (const double seconds : {1.1, 2.05, 3.0}) {
        Log log = drive.log();
        std::vector<double>& times = log.time_bases[0].seconds;
        for (std::size_t i = times.size(); i-- > 0;) {
            if (times[i] <= 11.0 || times[i] >= 11.0 + seconds) continue;
            times.erase(times.begin() + static_cast<std::ptrdiff_t>(i));
            for (Channel& channel : log.channels)
                channel.values.erase(channel.values.begin() + static_cast<std::ptrdiff_t>(i));
        }
        const Review found = review_of(log);
        const Finding& gap = *worst_of(found, "log-quality");
        EXPECT_EQ(gap.severity, Severity::watch) << seconds;
        EXPECT_EQ(gap.pull, 0u);
        EXPECT_NEAR(gap.time_s, 11.0, 0.06);
        EXPECT_NEAR(gap.value, seconds, 0.11) << gap.text;
        EXPECT_EQ(found.pulls.size(), seconds > 2.0 ? 3u : 2u);
    }
}

TEST(Checks, OneDeepKnockIsAStopOfItsOwnName) {
    const auto spike = [](Moment& m) {
        if (m.pull == 0 && m.since >= 3.0 && m.since < 3.3) m.retard[2] = 6.5;
    };
    DriveOptions options;
    options.tweak = spike;
    const Review found = review_of(options);
    EXPECT_EQ(worst_of(found, "knock-event")->severity, Severity::stop) << listed(found);
    EXPECT_EQ(worst_of(found, "knock-event")->value, 6.5);
    EXPECT_EQ(worst_of(found, "knock-event")->cylinder, 3);
    EXPECT_EQ(worst_of(found, "knock-repeated")->severity, Severity::clear);
    // The same cell in the other pull, too: one cause, said under the other name.
    options.tweak = both(spike, [](Moment& m) {
        if (m.pull == 1 && m.since >= 3.0 && m.since < 3.3) m.retard[2] = 2.0;
    });
    const Review twice = review_of(options);
    EXPECT_EQ(worst_of(twice, "knock-repeated")->severity, Severity::stop) << listed(twice);
    EXPECT_EQ(worst_of(twice, "knock-event")->severity, Severity::clear);
}

TEST(Checks, ASentenceNamesItsLogOnlyAmongSeveral) {
    DriveOptions options;
    options.tweak = in_pull(1, 0, 7000, [](Moment& m) { m.intake = 68; });
    TestDrive drive(options);
    drive.clean_pulls(2);
    Log first = drive.log(), second = drive.log();
    first.file = "run-2.csv", second.file = "logs/day one/run-3.csv";
    const DrivenLog both_logs[] = {{&first, nullptr, nullptr}, {&second, nullptr, nullptr}};
    const Review one = review(testing::test_job(), std::span(both_logs, 1));
    EXPECT_TRUE(worst_of(one, "intake-temperature")->text.starts_with("Pull 1 at ")) << listed(one);
    const Review two = review(testing::test_job(), both_logs);
    const auto in_second = std::ranges::find_if(
        two.findings, [](const Finding& f) { return f.check == "intake-temperature" && f.log == 1u; });
    ASSERT_NE(in_second, two.findings.end());
    EXPECT_TRUE(in_second->text.starts_with("Pull 3 of run-3.csv at ")) << in_second->text;
}

}  // namespace
}  // namespace revwright
