#include <cmath>
#include <gtest/gtest.h>
#include <limits>

#include "review/channel_health.h"
#include "review/checks_test_log.h"
#include "review/leave_out.h"

namespace revwright {
namespace {

using testing::accusations;
using testing::DriveOptions;
using testing::Moment;
using testing::review_log;
using testing::TestDrive;
using testing::unchecked;
using testing::worst;

// Idle 4 s, cruise 5 s, pull from 9 to 16 s, cruise 5 s, pull from 21 to 28 s; 4,500 rpm in 7 s.
Log clean_log(DriveOptions options = {}) {
    TestDrive drive(std::move(options));
    drive.clean_pulls(2);
    return drive.log();
}

Channel& channel_of(Log& log, ChannelKey key) {
    for (Channel& channel : log.channels)
        if (channel.key == key) return channel;
    throw std::logic_error("no such channel");
}
Channel& channel_of(Log& log, Signal signal) { return channel_of(log, ChannelKey{signal, 0}); }

/// Changes the samples of a channel between two times: (index, value) -> value.
template <class Change>
void change(Log& log, ChannelKey key, double from, double to, Change value) {
    Channel& channel = channel_of(log, key);
    for (std::size_t i = 0; i < channel.values.size(); ++i) {
        const double t = log.time_bases[0].seconds[i];
        if (t >= from && t <= to) channel.values[i] = value(i, channel.values[i]);
    }
}

void freeze(Log& log, ChannelKey key, double from, double to) {
    Channel& channel = channel_of(log, key);
    change(log, key, from, to, [&](std::size_t i, double) { return channel.values[i - 1]; });
}

void cut_rows(Log& log, double from, double to) {
    std::vector<double>& times = log.time_bases[0].seconds;
    for (std::size_t i = times.size(); i-- > 0;) {
        if (times[i] <= from || times[i] >= to) continue;
        times.erase(times.begin() + static_cast<std::ptrdiff_t>(i));
        for (Channel& channel : log.channels)
            channel.values.erase(channel.values.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

std::size_t count_of(const Review& review, std::string_view check) {
    return static_cast<std::size_t>(std::ranges::count_if(review.findings, [&](const Finding& found) {
        return found.check == check && found.severity != Severity::clear;
    }));
}

bool says(const Finding& found, std::string_view words) { return found.text.find(words) != std::string::npos; }

TEST(LogQuality, AHoleInAllRowsIsOneFindingThatSaysWhatCanNotBeJudged) {
    Log log = clean_log();
    cut_rows(log, 12.0, 13.1);
    const Review found = review_log(log);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    const Finding& hole = *worst(found, "log-quality");
    EXPECT_EQ(hole.severity, Severity::watch);
    EXPECT_TRUE(says(hole, "in any of the " + std::to_string(log.channels.size()) + " channels")) << hole.text;
    // 1,800 rpm + 4,500/7 rpm/s * 3 s and * 4.1 s; a sample more or less is 32 rpm.
    EXPECT_TRUE(says(hole, "so nothing can be judged between 3,7") && says(hole, " and 4,4")) << hole.text;
}

TEST(LogQuality, AChannelWithoutSamplesNamesTheChecksThatRestOnIt) {
    Log log = clean_log();
    const auto blank = [](std::size_t, double) { return std::numeric_limits<double>::quiet_NaN(); };
    change(log, {Signal::lambda}, 12.0, 13.5, blank);
    const Review found = review_log(log);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    const Finding& hole = *worst(found, "log-quality");
    EXPECT_TRUE(says(hole, "lambda has no sample for 1.5 s") || says(hole, "lambda has no sample for 1.6 s"))
        << hole.text;
    EXPECT_TRUE(says(hole, "lambda-lean, lambda-follow")) << hole.text;
    EXPECT_TRUE(says(hole, "can not be judged between 3,7")) << hole.text;
}

// The whole channel was left out before: a lean pull beside a frozen stretch went unseen.
TEST(LogQuality, OnlyTheFrozenStretchIsLeftOutOfTheChecks) {
    DriveOptions options;
    options.tweak = [](Moment& m) {
        if (m.pull == 1 && m.rpm > 4000 && m.rpm < 5000) m.mixture = 0.97;
    };
    Log log = clean_log(options);
    freeze(log, {Signal::lambda}, 10.0, 13.0);
    const Review found = review_log(log);
    const Finding& stuck = *worst(found, "log-quality");
    EXPECT_EQ(stuck.severity, Severity::mend) << stuck.text;
    EXPECT_TRUE(says(stuck, "lambda-lean, lambda-follow")) << stuck.text;
    ASSERT_TRUE(worst(found, "lambda-lean"));
    EXPECT_EQ(worst(found, "lambda-lean")->severity, Severity::stop);
    EXPECT_EQ(worst(found, "lambda-lean")->pull, 1u);
}

// A probe frozen at the lean reading of cruise would accuse the pull of being lean.
TEST(LogQuality, NothingIsSaidOfTheEngineByAFrozenStretch) {
    for (const Signal signal : {Signal::lambda, Signal::boost_pressure_kpa, Signal::air_mass_flow_g_s}) {
        Log log = clean_log();
        freeze(log, {signal}, 7.0, 18.0);  // through the whole first pull
        const Review found = review_log(log);
        EXPECT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
        for (const Finding& other : found.findings)
            EXPECT_TRUE(other.check == "log-quality" || other.severity == Severity::clear) << other.text;
    }
}

// Evidence and proposals read the log as the checks saw it.
TEST(LogQuality, TheLogAsJudgedHoldsNoFrozenStretchAndNoDeadChannel) {
    Log log = clean_log();
    freeze(log, {Signal::lambda}, 10.0, 13.0);
    change(log, {Signal::exhaust_temp_c}, -1.0, 1e9, [](std::size_t, double) { return 650.0; });
    const Review found = review_log(log);
    const Log judged = as_judged(testing::test_job(), {.log = &log}, found.pulls);
    const Series lambda = judged.series(*judged.find(Signal::lambda));
    EXPECT_TRUE(std::isnan(value_at(lambda, 11.5)));
    EXPECT_FALSE(std::isnan(value_at(lambda, 24.0)));
    for (const double value : judged.find(Signal::exhaust_temp_c)->values) EXPECT_TRUE(std::isnan(value));
    EXPECT_EQ(judged.find(Signal::engine_speed_rpm)->values, log.find(Signal::engine_speed_rpm)->values);
}

TEST(LogQuality, AFrozenLoggerIsOneFinding) {
    Log log = clean_log();
    for (const Signal signal : {Signal::lambda, Signal::boost_pressure_kpa, Signal::air_mass_flow_g_s})
        freeze(log, {signal}, 11.0, 13.0);
    const Review found = review_log(log);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    for (const char* name : {"lambda", "boost_pressure_kpa", "air_mass_flow_g_s"})
        EXPECT_TRUE(says(*worst(found, "log-quality"), name)) << worst(found, "log-quality")->text;
}

TEST(LogQuality, AChannelRenewedTwiceASecondInRowsOf20HzIsSlow) {
    Log log = clean_log();
    std::vector<double>& values = channel_of(log, Signal::lambda).values;
    for (std::size_t i = 0; i < values.size(); ++i) values[i] = values[i - i % 10];
    const Review found = review_log(log);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    const Finding& slow = *worst(found, "log-quality");
    EXPECT_EQ(slow.severity, Severity::watch);
    EXPECT_EQ(slow.unit, "Hz");
    EXPECT_NEAR(slow.value, 2.0, 0.2);
    EXPECT_TRUE(says(slow, "less than 0.5 s goes unseen by lambda-lean")) << slow.text;
}

TEST(LogQuality, FourHertzRepeatedInFasterRowsIsEnough) {
    Log log = clean_log();
    for (Channel& channel : log.channels)
        for (std::size_t i = 0; i < channel.values.size(); ++i) channel.values[i] = channel.values[i - i % 5];
    const Review found = review_log(log);
    EXPECT_EQ(count_of(found, "log-quality"), 0u) << accusations(found);
}

TEST(LogQuality, SpikesOfOneChannelAreOneFindingAndNotJudged) {
    Log log = clean_log();
    for (const double at : {11.0, 12.0, 13.0})
        change(log, {Signal::lambda}, at - 0.024, at + 0.024, [](std::size_t, double) { return 1.6; });
    const Review found = review_log(log);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    EXPECT_TRUE(says(*worst(found, "log-quality"), "and 2 more like it")) << worst(found, "log-quality")->text;
    EXPECT_EQ(accusations(found).find("lambda-lean "), std::string::npos) << accusations(found);
}

TEST(LogQuality, StepsCoarserThanTheLimitAreNamed) {
    Log log = clean_log();
    for (double& value : channel_of(log, Signal::lambda).values) value = 0.02 * std::round(value / 0.02);
    const Review coarse = review_log(log);
    ASSERT_TRUE(worst(coarse, "log-quality"));
    EXPECT_TRUE(says(*worst(coarse, "log-quality"), "in steps of 0.02")) << accusations(coarse);
    EXPECT_TRUE(says(*worst(coarse, "log-quality"), "lambda-follow")) << accusations(coarse);
}

TEST(LogQuality, CoarseButHealthyChannelsRaiseNothing) {
    const std::pair<Signal, double> steps[] = {
        {Signal::boost_pressure_kpa, 1.0}, {Signal::air_mass_flow_g_s, 1.0},  {Signal::lambda, 0.01},
        {Signal::engine_speed_rpm, 32.0},  {Signal::vehicle_speed_km_h, 1.0}, {Signal::throttle_pct, 0.4},
        {Signal::intake_temp_c, 1.0},      {Signal::rail_pressure_mpa, 0.5},  {Signal::exhaust_temp_c, 5.0}};
    for (const double hz : {4.0, 10.0, 20.0, 50.0})
        for (const double noise : {0.0, 0.3, 1.0, 2.0})
            for (std::uint64_t seed = 1; seed <= 3; ++seed) {
                Log log = clean_log({.hz = hz, .noise = noise, .seed = seed});
                for (const auto& [signal, step] : steps)
                    for (double& value : channel_of(log, signal).values) value = step * std::round(value / step);
                const Review found = review_log(log);
                EXPECT_EQ(count_of(found, "log-quality") + count_of(found, "sensor-range"), 0u)
                    << hz << " Hz, noise " << noise << "\n"
                    << accusations(found);
            }
}

TEST(LogQuality, AChannelThatHoldsNoValueIsTheReasonAndNoFaultOfTheEngine) {
    Log log = clean_log();
    std::ranges::fill(channel_of(log, Signal::lambda_target).values, 0.0);
    const Review found = review_log(log);
    const NotChecked* entry = unchecked(found, "lambda-follow");
    ASSERT_TRUE(entry);
    EXPECT_EQ(entry->standing, Standing::required);
    EXPECT_NE(entry->text.find("lambda_target is 0 in every row"), std::string::npos) << entry->text;
    for (const Finding& other : found.findings) EXPECT_LT(other.severity, Severity::mend) << other.text;
}

TEST(LogQuality, ANegativeAbsolutePressureIsNotJudgedBy) {
    Log log = clean_log();
    for (double& kpa : channel_of(log, Signal::boost_pressure_kpa).values) kpa -= 140.0;
    const Review found = review_log(examine_channels(std::move(log)));
    ASSERT_TRUE(unchecked(found, "boost-steady"));
    EXPECT_NE(unchecked(found, "boost-steady")->text.find("below zero"), std::string::npos);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    EXPECT_TRUE(says(*worst(found, "log-quality"), "not absolute")) << accusations(found);
}

TEST(LogQuality, AFaultOfTheClockIsOneFinding) {
    Log log = clean_log();
    for (double& t : log.time_bases[0].seconds)
        if (t >= 12.0) t += 1.5;
    log = examine_channels(std::move(log));
    const Review found = review_log(log);
    ASSERT_EQ(count_of(found, "log-quality"), 1u) << accusations(found);
    EXPECT_TRUE(says(*worst(found, "log-quality"), "the clock leaps ahead")) << accusations(found);
}

}  // namespace
}  // namespace revwright
