#include <cmath>
#include <gtest/gtest.h>
#include <numbers>

#include "physics/air.h"
#include "review/checks_test_log.h"
#include "review/derived.h"
#include "review/swing.h"

namespace revwright {
namespace {

using namespace testing;

Hardware hardware_of(HardwareKind kind) {
    Hardware part;
    part.kind = kind;
    return part;
}

double sine(double t, double hertz) { return std::sin(2.0 * std::numbers::pi * hertz * t); }

/// Boost swings around its target between two engine speeds.
Tweak swinging(double kpa_peak_to_peak, double hertz, double from = 3500.0, double to = 5500.0) {
    return [=](Moment& m) {
        if (m.pull >= 0 && m.rpm >= from && m.rpm <= to) m.boost += 0.5 * kpa_peak_to_peak * sine(m.t, hertz);
    };
}

// ---- the swing itself, on closed forms -------------------------------------------------------------------------

Samples sampled(double hz, double seconds, double (*value)(double), double noise = 0.0) {
    Noise random(5);
    Samples made;
    for (double t = 0.0; t < seconds; t += 1.0 / hz) {
        made.times.push_back(t);
        made.values.push_back(value(t) + noise * random.normal());
    }
    return made;
}

TEST(Swing, ASineIsFoundWithItsSizeAndPace) {
    const Samples slow = sampled(20.0, 5.0, [](double t) { return 6.0 * sine(t, 1.5) + 4.0 * t; });
    EXPECT_NEAR(strongest_swing(slow.series(), 9.0, 5.0).peak_to_peak, 12.0, 0.1);
    EXPECT_NEAR(strongest_swing(slow.series(), 9.0, 5.0).hertz, 1.5, 1e-9);
    const Samples fast = sampled(50.0, 4.0, [](double t) { return 5.0 * sine(t, 9.0) - 3.0 * t * t; }, 0.8);
    EXPECT_NEAR(strongest_swing(fast.series(), 10.0, 5.0).peak_to_peak, 10.0, 1.0);
    EXPECT_NEAR(strongest_swing(fast.series(), 10.0, 5.0).hertz, 9.0, 0.3);
}

TEST(Swing, NoiseRampsStepsAndSingleBumpsAreNone) {
    const Samples cases[] = {
        sampled(
            20.0, 7.0, [](double) { return 0.0; }, 2.5),
        sampled(
            10.0, 7.0, [](double) { return 0.0; }, 2.5),
        sampled(20.0, 7.0, [](double t) { return 30.0 * t; }),
        sampled(20.0, 7.0, [](double t) { return t < 3.0 ? 0.0 : 20.0; }),
        sampled(20.0, 7.0, [](double t) { return -60.0 * std::exp(-t / 0.4); }),
        sampled(
            20.0, 7.0, [](double t) { return 40.0 * std::exp(-std::pow((t - 3.0) / 0.25, 2)); }, 0.5),
        // An overshoot with its undershoot, and then rest.
        sampled(20.0, 7.0,
                [](double t) { return t < 1.0 ? 0.0 : 25.0 * sine(t - 1.0, 1.2) * std::exp(-3.0 * (t - 1.0)); }),
        // Two lone wild samples.
        sampled(20.0, 7.0, [](double t) { return std::abs(t - 3.0) < 0.02 || std::abs(t - 3.6) < 0.02 ? 40.0 : 0.0; }),
    };
    for (const Samples& samples : cases)
        EXPECT_LT(
            strongest_swing(samples.series(), 0.45 * (samples.times.size() > 100 ? 20.0 : 10.0), 4.0).peak_to_peak, 8.0)
            << &samples - cases;
}

// ---- boost-oscillation -----------------------------------------------------------------------------------------

TEST(BoostOscillation, IsFoundAtEveryRateThatShowsItAndNothingElseIsSaid) {
    struct Row {
        double hz, swing, hertz;
        Severity severity;
    };
    const Row rows[] = {{10.0, 20.0, 1.6, Severity::mend},  {10.0, 20.0, 4.0, Severity::mend},
                        {20.0, 11.0, 1.3, Severity::watch}, {20.0, 20.0, 8.0, Severity::mend},
                        {50.0, 11.0, 9.5, Severity::watch}, {50.0, 20.0, 2.5, Severity::mend}};
    for (const Row& row : rows) {
        const Review found = review_pulls({.hz = row.hz, .tweak = swinging(row.swing, row.hertz)});
        SCOPED_TRACE(accusations(found));
        const Finding* swing = worst(found, "boost-oscillation");
        ASSERT_TRUE(swing);
        EXPECT_EQ(swing->severity, row.severity) << row.hz << " Hz, swing of " << row.hertz << " Hz";
        EXPECT_NEAR(swing->value, row.swing, 2.5);
        EXPECT_NEAR(swing->engine_speed_rpm, 4500.0, 400.0);
        for (const Finding& other : found.findings)
            EXPECT_TRUE(other.severity == Severity::clear || other.check == "boost-oscillation") << other.text;
    }
}

TEST(BoostOscillation, OtherBoostFaultsAreNoOscillation) {
    const Tweak tweaks[] = {
        [](Moment& m) { m.boost -= m.pull >= 0 && m.rpm > 4000 && m.rpm < 5000 ? 20.0 : 0.0; },
        [](Moment& m) {
            if (m.pull >= 0) m.boost += 40.0 * std::exp(-std::pow((m.since - 1.6) / 0.25, 2));
        },
        [](Moment& m) {
            if (m.pull >= 0 && m.rpm > 4000 && m.rpm < 4800) m.throttle = 70, m.boost -= 25;
        },
        [](Moment& m) { m.boost_target += m.pull >= 0 ? 8.0 * (m.since - 3.0) : 0.0; },
    };
    for (const Tweak& tweak : tweaks)
        for (const double hz : {10.0, 20.0, 50.0})
            EXPECT_EQ(severity_of(review_pulls({.hz = hz, .tweak = tweak}), "boost-oscillation"), Severity::clear)
                << hz;
}

TEST(BoostOscillation, AShortBurstPassesAndASlowLogIsNotJudged) {
    const Review burst = review_pulls({.tweak = swinging(30.0, 4.0, 4200.0, 4550.0)});
    EXPECT_EQ(severity_of(burst, "boost-oscillation"), Severity::clear) << accusations(burst);
    const Review slow = review_pulls({.hz = 4.0, .tweak = swinging(30.0, 1.5)});
    EXPECT_FALSE(worst(slow, "boost-oscillation"));
    ASSERT_TRUE(unchecked(slow, "boost-oscillation"));
    EXPECT_NE(unchecked(slow, "boost-oscillation")->text.find("renewed"), std::string::npos);
}

// A boost value that is repeated between renewals makes saw teeth under a climbing target.
TEST(BoostOscillation, ARepeatedBoostValueUnderAClimbingTargetDoesNotSwing) {
    TestDrive drive({.hz = 50.0, .tweak = [](Moment& m) {
                         if (m.pull >= 0 && m.since > 2.0)
                             m.boost_target += 14.0 * (m.since - 2.0), m.boost = m.boost_target;
                     }});
    drive.clean_pulls(2);
    Log log = drive.log();
    for (Channel& channel : log.channels)
        if (channel.key == ChannelKey{Signal::boost_pressure_kpa})
            for (std::size_t i = 0; i < channel.values.size(); ++i) channel.values[i] = channel.values[i - i % 5];
    const Review found = review_log(log);
    EXPECT_EQ(severity_of(found, "boost-oscillation"), Severity::clear) << accusations(found);
}

// ---- wastegate-saturated ---------------------------------------------------------------------------------------

/// The test drive's log with a wastegate duty worked out from it.
Log with_duty(Log log, double (*duty)(double short_of_target, double rpm)) {
    const Channel& boost = *log.find(Signal::boost_pressure_kpa);
    const Channel& target = *log.find(Signal::boost_target_kpa);
    const Channel& speed = *log.find(Signal::engine_speed_rpm);
    Channel made{.name = "wastegate_duty_pct",
                 .unit_in_log = {},
                 .key = ChannelKey{Signal::wastegate_duty_pct},
                 .unit = "%",
                 .time_base = 0,
                 .values = {}};
    for (std::size_t i = 0; i < boost.values.size(); ++i)
        made.values.push_back(target.values[i] < 150.0 ? 0.0
                                                       : duty(target.values[i] - boost.values[i], speed.values[i]));
    log.channels.push_back(std::move(made));
    return log;
}

TEST(WastegateSaturated, SpoolUpIsSilentAndAWeakTurbochargerIsNot) {
    const auto duty = [](double low, double) { return low > 4.0 ? 98.0 : 60.0; };
    for (const double hz : {4.0, 10.0, 20.0}) {
        TestDrive healthy({.hz = hz});
        healthy.clean_pulls(2);
        EXPECT_EQ(severity_of(review_log(with_duty(healthy.log(), duty)), "wastegate-saturated"), Severity::clear)
            << hz;
        TestDrive weak({.hz = hz, .tweak = [](Moment& m) {
                            if (m.pull >= 0 && m.rpm > 4200 && m.rpm < 5600) m.boost -= 15.0;
                        }});
        weak.clean_pulls(2);
        const Review found = review_log(with_duty(weak.log(), duty));
        const Finding* saturated = worst(found, "wastegate-saturated");
        ASSERT_TRUE(saturated) << hz;
        EXPECT_EQ(saturated->severity, Severity::watch) << hz << accusations(found);
        EXPECT_NEAR(saturated->engine_speed_rpm, 4900.0, 400.0);
        const Finding* low = worst(found, "boost-steady");
        ASSERT_TRUE(low);
        EXPECT_EQ(std::ranges::count(low->levers, "wastegate_duty"), 0)
            << "a shut wastegate cures nothing: " << low->text;
    }
}

// ---- air-consistency -------------------------------------------------------------------------------------------

/// The meter as it would read at a volumetric efficiency, times a share that depends on boost and flow.
Tweak metered(double efficiency, std::function<double(const Moment&)> share) {
    return [=](Moment& m) {
        const JobSheet job = test_job();
        const Mass stroke = trapped_air({efficiency}, kilopascal(m.boost), celsius(m.intake),
                                        {job.engine.displacement_cm3 * 1e-6 / job.engine.cylinders});
        m.flow = 1e3 * air_mass_flow(stroke, {std::max(m.rpm, 100.0)}, 4).si * share(m);
    };
}

struct TwoRuns {
    Log standard, now;
    Review judged(const JobSheet& job) const {
        const DrivenLog driven[] = {{&standard, nullptr, nullptr, true}, {&now, nullptr, nullptr, false}};
        return review(job, driven);
    }
};

Log clean_log(const Tweak& tweak, double hz = 20.0, std::uint64_t seed = 1) {
    TestDrive drive({.hz = hz, .seed = seed, .tweak = tweak});
    drive.clean_pulls(2);
    return drive.log();
}

TEST(AirConsistency, WithoutAStandardRunTheWholeBandIsNoDifference) {
    for (const double hz : {4.0, 10.0, 20.0})
        for (const double efficiency : {0.83, 0.90, 0.97}) {
            const Review found = review_log(clean_log(metered(efficiency, [](const Moment&) { return 1.0; }), hz));
            ASSERT_TRUE(worst(found, "air-consistency"));
            EXPECT_EQ(severity_of(found, "air-consistency"), Severity::clear) << accusations(found);
        }
    // 0.90 x 1.25 is 14.8 % over 0.98; 0.90 x 0.84 is 7.8 % under 0.82.
    const Review more = review_log(clean_log(metered(0.90, [](const Moment&) { return 1.25; })));
    EXPECT_EQ(severity_of(more, "air-consistency"), Severity::mend);
    EXPECT_NEAR(worst(more, "air-consistency")->value, 14.8, 1.0);
    const Review less = review_log(clean_log(metered(0.90, [](const Moment&) { return 0.84; })));
    EXPECT_EQ(severity_of(less, "air-consistency"), Severity::watch);
    EXPECT_NEAR(worst(less, "air-consistency")->value, -7.8, 1.0);
}

// 70 to 76 mm: area ratio 1.178776 by first principles.
TEST(AirConsistency, AnUnscaledHousingIsNamedWithItsAreaRatio) {
    JobSheet job = test_job();
    job.hardware.push_back(hardware_of(HardwareKind::air_meter));
    job.hardware[0].bore_mm = BeforeAfter{70.0, 76.0, {}, {}};
    job.hardware[0].rescaled = false;
    const TwoRuns runs{clean_log(metered(0.94, [](const Moment&) { return 1.0; })),
                       clean_log(metered(0.94, [](const Moment&) { return 1.0 / 1.178776; }), 10.0, 2)};
    const Review found = runs.judged(job);
    const Finding* meter = worst(found, "air-consistency");
    ASSERT_TRUE(meter);
    EXPECT_EQ(meter->severity, Severity::mend);
    EXPECT_EQ(meter->log, 1u);
    EXPECT_NEAR(meter->value, 100.0 / 1.178776 - 100.0, 1.0);
    EXPECT_EQ(meter->levers, std::vector<std::string>{"air_meter"});
    EXPECT_NE(meter->text.find("1.179"), std::string::npos) << meter->text;
    job.hardware[0].rescaled = true;
    const Review rescaled = runs.judged(job);
    EXPECT_EQ(worst(rescaled, "air-consistency")->text.find("1.179"), std::string::npos);
}

TEST(AirConsistency, TheStandardRunIsTheReferenceWhateverItsFilling) {
    // A filling of 1.02 would be above the band, and 12 % less within it.
    const auto usual = metered(1.02, [](const Moment&) { return 1.0; });
    const TwoRuns same{clean_log(usual), clean_log(usual, 10.0, 3)};
    const Review calm = same.judged(test_job());
    for (const Finding& finding : calm.findings)
        EXPECT_TRUE(finding.severity == Severity::clear || finding.check != "air-consistency" || finding.log == 0u)
            << finding.text;
    const TwoRuns less{clean_log(usual), clean_log(metered(1.02, [](const Moment&) { return 0.88; }), 20.0, 3)};
    const Review found = less.judged(test_job());
    const bool said = std::ranges::any_of(found.findings, [](const Finding& finding) {
        return finding.check == "air-consistency" && finding.log == 1u && finding.severity == Severity::mend;
    });
    EXPECT_TRUE(said) << accusations(found);
}

TEST(AirConsistency, ALeakUnderBoostIsToldFromAWrongScale) {
    const auto with_manifold = [](const Tweak& tweak) {
        Log log = clean_log(tweak);
        Channel manifold = *log.find(Signal::boost_pressure_kpa);
        manifold.name = "manifold_pressure_kpa", manifold.key = ChannelKey{Signal::manifold_pressure_kpa};
        log.channels.push_back(std::move(manifold));
        return log;
    };
    // Part load at 60 kPa: the cruise of the drive.
    const auto drive = [](double pull_share, double cruise_share) {
        return [=](Moment& m) {
            if (m.pull < 0) m.boost = 60.0;
            metered(0.92, [=](const Moment& at) { return at.pull < 0 ? cruise_share : pull_share; })(m);
        };
    };
    const Log usual = with_manifold(drive(1.0, 1.0));
    const TwoRuns leak{usual, with_manifold(drive(1.2, 1.0))}, scale{usual, with_manifold(drive(1.2, 1.2))};
    const Review leaking = leak.judged(test_job()), scaled = scale.judged(test_job());
    EXPECT_EQ(worst(leaking, "air-consistency")->levers, std::vector<std::string>{"hardware"});
    EXPECT_NE(worst(leaking, "air-consistency")->text.find("leak"), std::string::npos);
    EXPECT_EQ(worst(scaled, "air-consistency")->levers.front(), "air_meter");
}

// ---- intake-rise -----------------------------------------------------------------------------------------------

TEST(IntakeRise, ThirtyKelvinThroughThePullIsAWatch) {
    const auto rise = [](double kelvin) {
        DriveOptions options;
        options.noise = 0.0;
        options.tweak = [=](Moment& m) {
            m.intake = 25.0 + (m.pull < 0 ? 0.0 : kelvin * std::clamp((m.since - 1.0) / 4.0, 0.0, 1.0));
        };
        return review_pulls(options);
    };
    EXPECT_EQ(severity_of(rise(29.9), "intake-rise"), Severity::clear);
    EXPECT_EQ(severity_of(rise(30.0), "intake-rise"), Severity::watch);
    EXPECT_NEAR(worst(rise(34.0), "intake-rise")->value, 34.0, 0.1);
}

// ---- compressor ------------------------------------------------------------------------------------------------

/// A map around the test drive's flows, in outside air of its own reference state.
JobSheet job_with_map(double surge_share, double choke_share, double max_speed_rpm) {
    JobSheet job = test_job();
    std::vector<CompressorSpeedLine> lines;
    for (int i = 0; i < 6; ++i) {
        const double speed = 60000.0 + 20000.0 * i, ratio = 1.3 + 0.3 * i, grown = 0.04 + 0.02 * i;
        lines.push_back({.speed_rpm = speed,
                         .points = {{surge_share * grown, ratio, 0.64},
                                    {grown * 1.5, ratio - 0.05, 0.75},
                                    {choke_share * grown * 2.5, ratio - 0.2, 0.62}}});
    }
    auto map = CompressorMap::make(std::move(lines));
    Hardware turbo = hardware_of(HardwareKind::turbocharger);
    turbo.compressor = *map;
    turbo.reference_temp_k = 298.15, turbo.reference_pressure_kpa = 100.0, turbo.max_speed_rpm = max_speed_rpm;
    job.hardware.push_back(turbo);
    return job;
}

/// The drive with outside air at 25 C and 100 kPa: the map's own state, so that flow is its own corrected flow.
Log in_reference_air(const Tweak& tweak = {}) {
    Log log = clean_log(tweak);
    for (const auto& [signal, value] :
         {std::pair{Signal::ambient_temp_c, 25.0}, {Signal::ambient_pressure_kpa, 100.0}}) {
        Channel channel = *log.find(Signal::boost_target_kpa);
        channel.name = to_string({signal, 0}), channel.key = ChannelKey{signal}, channel.unit = info(signal).unit;
        std::ranges::fill(channel.values, value);
        log.channels.push_back(std::move(channel));
    }
    return log;
}

TEST(Compressor, AMapWithRoomOnAllSidesIsClear) {
    const Review found = review_log(in_reference_air(), job_with_map(0.5, 1.6, 200000.0));
    for (const char* check : {"compressor-surge", "compressor-choke", "compressor-speed"}) {
        ASSERT_TRUE(worst(found, check)) << check;
        EXPECT_EQ(severity_of(found, check), Severity::clear) << accusations(found);
        EXPECT_TRUE(worst(found, check)->modelled);
    }
}

TEST(Compressor, EachSideOfTheMapIsSeen) {
    // Flow at ratio 2.0 runs from about 0.07 to 0.233 kg/s. Surge at 0.133 kg/s; choke at 0.18; speed 117,000 rpm.
    const Review surge = review_log(in_reference_air(), job_with_map(1.3, 1.6, 200000.0));
    EXPECT_EQ(severity_of(surge, "compressor-surge"), Severity::mend) << accusations(surge);
    EXPECT_LT(worst(surge, "compressor-surge")->engine_speed_rpm, 4000.0);
    const Review choke = review_log(in_reference_air(), job_with_map(0.5, 0.7, 200000.0));
    EXPECT_EQ(severity_of(choke, "compressor-choke"), Severity::mend) << accusations(choke);
    EXPECT_GT(worst(choke, "compressor-choke")->engine_speed_rpm, 5000.0);
    const Review fast = review_log(in_reference_air(), job_with_map(0.5, 1.6, 110000.0));
    EXPECT_EQ(severity_of(fast, "compressor-speed"), Severity::stop) << accusations(fast);
}

TEST(Compressor, ALoggedShaftSpeedNeedsNoMapAndIsNoModel) {
    Log log = clean_log({});
    Channel shaft = *log.find(Signal::boost_pressure_kpa);
    shaft.name = "turbo_speed_rpm", shaft.key = ChannelKey{Signal::turbo_speed_rpm}, shaft.unit = "rpm";
    for (double& value : shaft.values) value *= 720.0;  // 144,000 rpm at full boost
    log.channels.push_back(shaft);
    JobSheet job = test_job();
    job.hardware.push_back(hardware_of(HardwareKind::turbocharger));
    job.hardware[0].max_speed_rpm = 148000.0;
    const Review found = review_log(log, job);
    ASSERT_TRUE(worst(found, "compressor-speed"));
    EXPECT_EQ(severity_of(found, "compressor-speed"), Severity::mend) << accusations(found);
    EXPECT_FALSE(worst(found, "compressor-speed")->modelled);
    EXPECT_TRUE(unchecked(found, "compressor-surge"));
}

TEST(Compressor, WithoutAMapOrOutsideTemperatureTheReasonIsSaid) {
    ASSERT_TRUE(unchecked(review_log(clean_log({})), "compressor-surge"));
    const Review cold = review_log(clean_log({}), job_with_map(0.5, 1.6, 200000.0));
    ASSERT_TRUE(unchecked(cold, "compressor-choke"));
    EXPECT_EQ(unchecked(cold, "compressor-choke")->missing, std::vector<std::string>{"ambient_temp_c"});
}

}  // namespace
}  // namespace revwright
