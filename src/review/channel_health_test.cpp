#include "review/channel_health.h"

#include <cmath>
#include <gtest/gtest.h>

#include "review/clock_faults.h"
#include "review/possible.h"
#include "review/pulls.h"
#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::TestDrive;

Log clean_log() {
    TestDrive drive;
    drive.clean_pulls(3);
    return drive.log();
}

Channel& channel_of(Log& log, Signal signal) {
    for (Channel& channel : log.channels)
        if (channel.key->signal == signal) return channel;
    throw std::logic_error("no such channel");
}

using Words = std::vector<std::string>;

TEST(ChannelHealth, AHealthyLogHasNoWordsAndNoNotes) {
    const Log raw = clean_log();
    const Log log = note_faults(examine_channels(raw), find_pulls(raw, JobSheet{}, 0).pulls);
    for (const Channel& channel : log.channels) EXPECT_EQ(channel.quality, Words{}) << channel.name;
    EXPECT_TRUE(log.quality.empty()) << log.quality.front().text;
    EXPECT_NEAR(log.find(Signal::boost_pressure_kpa)->refresh_hz.value_or(0.0), 20.0, 1.0);
}

TEST(ChannelHealth, ASampleThatIsNoValueIsLeftOut) {
    const struct {
        Signal signal;
        double value;
        const char* word;
    } cases[] = {
        {Signal::lambda, 0.0, "impossible"},
        {Signal::coolant_temp_c, -40.0, "not-available"},
        {Signal::intake_temp_c, 215.0, "not-available"},
        {Signal::oil_temp_c, -48.0, "not-available"},
        {Signal::engine_speed_rpm, 16383.75, "not-available"},
        {Signal::engine_speed_rpm, 8191.875, "not-available"},
        {Signal::boost_pressure_kpa, 65535.0, "not-available"},
        {Signal::air_mass_flow_g_s, 1e9, "impossible"},
        {Signal::vehicle_speed_km_h, -50.0, "impossible"},
    };
    for (const auto& c : cases) {
        SCOPED_TRACE(::testing::Message() << info(c.signal).name << " " << c.value);
        Log log = clean_log();
        for (const std::size_t at : {50u, 51u}) channel_of(log, c.signal).values[at] = c.value;
        log = examine_channels(std::move(log));
        const Channel& channel = channel_of(log, c.signal);
        EXPECT_TRUE(std::isnan(channel.values[50]) && std::isnan(channel.values[51]));
        EXPECT_FALSE(std::isnan(channel.values[52]));
        EXPECT_EQ(channel.quality, Words{c.word});
    }
}

TEST(ChannelHealth, AColdMorningIsNoUnpluggedSensor) {
    Log log = clean_log();
    std::vector<double>& intake = channel_of(log, Signal::intake_temp_c).values;
    for (std::size_t i = 0; i < intake.size(); ++i) intake[i] = -44.0 + std::floor(static_cast<double>(i) / 60.0);
    log = examine_channels(std::move(log));
    EXPECT_EQ(channel_of(log, Signal::intake_temp_c).quality, Words{});
}

TEST(ChannelHealth, AChannelThatHoldsNoValueIsDeadAndOneThatMayRestIsNot) {
    Log log = clean_log();
    std::ranges::fill(channel_of(log, Signal::lambda_target).values, 0.0);
    std::ranges::fill(channel_of(log, Signal::oil_temp_c).values, -40.0);
    log = examine_channels(std::move(log));
    EXPECT_EQ(channel_of(log, Signal::lambda_target).quality, Words{"dead"});
    EXPECT_EQ(channel_of(log, Signal::oil_temp_c).quality, Words{"dead"});
    EXPECT_EQ(channel_of(log, Signal::knock_retard_deg).quality, Words{}) << "no knock is no fault";
    EXPECT_TRUE(why_unusable(log, channel_of(log, Signal::lambda_target)).has_value());
    EXPECT_FALSE(why_unusable(log, channel_of(log, Signal::knock_retard_deg)).has_value());
}

TEST(ChannelHealth, NegativeAbsolutePressuresAreNamed) {
    Log log = clean_log();
    for (double& kpa : channel_of(log, Signal::boost_pressure_kpa).values) kpa -= 130.0;
    log = examine_channels(std::move(log));
    EXPECT_EQ(channel_of(log, Signal::boost_pressure_kpa).quality, Words{"negative-pressure"});
    EXPECT_TRUE(why_unusable(log, channel_of(log, Signal::boost_pressure_kpa)).has_value());
}

TEST(ChannelHealth, FaultsInThePullsBecomeWordsAndNotes) {
    Log log = clean_log();
    const std::vector<double>& times = log.time_bases[0].seconds;
    std::vector<double>& lambda = channel_of(log, Signal::lambda).values;
    std::vector<double>& flow = channel_of(log, Signal::air_mass_flow_g_s).values;
    for (std::size_t i = 0; i < times.size(); ++i) {
        if (times[i] > 12.0 && times[i] < 13.5) lambda[i] = std::numeric_limits<double>::quiet_NaN();
        if (times[i] > 23.0 && times[i] < 25.0) flow[i] = flow[i - 1];
    }
    log = examine_channels(std::move(log));
    log = note_faults(std::move(log), find_pulls(log, JobSheet{}, 0).pulls);
    EXPECT_EQ(channel_of(log, Signal::lambda).quality, Words{"gaps"});
    EXPECT_EQ(channel_of(log, Signal::air_mass_flow_g_s).quality, Words{"stuck"});
    ASSERT_EQ(log.quality.size(), 2u);
    EXPECT_EQ(log.quality[0].kind, "stuck");
    EXPECT_NEAR(log.quality[0].start_s, 23.0, 0.06);
    EXPECT_NEAR(log.quality[0].end_s, 25.0, 0.06);
    EXPECT_EQ(log.quality[1].kind, "gap");
}

TEST(ClockFaults, ALeapIsToldFromMissingRows) {
    Log leap = clean_log(), missing = clean_log();
    for (double& t : leap.time_bases[0].seconds)
        if (t >= 12.0) t += 1.2;
    auto& times = missing.time_bases[0].seconds;
    for (std::size_t i = times.size(); i-- > 0;) {
        if (times[i] < 12.0 || times[i] > 13.2) continue;
        times.erase(times.begin() + static_cast<std::ptrdiff_t>(i));
        for (Channel& c : missing.channels) c.values.erase(c.values.begin() + static_cast<std::ptrdiff_t>(i));
    }
    ASSERT_EQ(clock_faults(leap).size(), 1u);
    EXPECT_EQ(clock_faults(leap)[0].kind, "clock-jump");
    EXPECT_NEAR(clock_faults(leap)[0].start_s, 12.0, 0.06);
    EXPECT_TRUE(clock_faults(missing).empty());
    EXPECT_TRUE(clock_faults(clean_log()).empty());
}

TEST(ClockFaults, AChangeOfRateIsNoted) {
    Log log = clean_log();
    Log slow{.file = log.file, .format = "csv", .time_bases = {{}}, .channels = {}};
    for (const Channel& c : log.channels)
        slow.channels.push_back({.name = c.name, .unit_in_log = "", .key = c.key, .unit = c.unit, .values = {}});
    for (std::size_t i = 0; i < log.time_bases[0].seconds.size(); ++i) {
        const double t = log.time_bases[0].seconds[i];
        if (t > 15.0 && i % 2 != 0) continue;
        slow.time_bases[0].seconds.push_back(t);
        for (std::size_t c = 0; c < log.channels.size(); ++c)
            slow.channels[c].values.push_back(log.channels[c].values[i]);
    }
    const auto notes = clock_faults(slow);
    ASSERT_EQ(notes.size(), 1u);
    EXPECT_EQ(notes[0].kind, "rate-change");
    EXPECT_NEAR(notes[0].start_s, 15.0, 2.6);
    EXPECT_NE(notes[0].text.find("20.0 times a second"), std::string::npos) << notes[0].text;
    EXPECT_NE(notes[0].text.find("10.0 times"), std::string::npos) << notes[0].text;
}

TEST(ClockFaults, TwoTimeBasesThatMoveApartAreNoted) {
    const auto notes = [](double drift_s) {
        TestDrive drive;
        drive.clean_pulls(6);
        Log log = drive.log();
        TimeBase other = log.time_bases[0];
        for (double& t : other.seconds) t += 0.3 + drift_s * t / log.span().end_s;
        log.time_bases.push_back(other);
        channel_of(log, Signal::throttle_pct).time_base = 1;
        channel_of(log, Signal::vehicle_speed_km_h).time_base = 1;
        return clock_faults(log);
    };
    ASSERT_EQ(notes(0.9).size(), 1u);
    EXPECT_EQ(notes(0.9)[0].kind, "clock-drift");
    EXPECT_TRUE(notes(0.0).empty()) << "a delay that stays is no drift";
}

// What a broken clock claims must cost neither time nor memory.
TEST(ClockFaults, TimeBasesOverAgesAreNotComparedStepByStep) {
    Log log{.file = "a.mf4", .format = "mdf4", .time_bases = {{{0.0, 1.0, 1e17}}, {{0.5, 2.0, 9e16}}}, .channels = {}};
    log.channels.push_back({.name = "n",
                            .unit_in_log = "",
                            .key = ChannelKey{Signal::engine_speed_rpm},
                            .unit = "rpm",
                            .values = {900.0, 1000.0, 1100.0}});
    log.channels.push_back({.name = "v",
                            .unit_in_log = "",
                            .key = ChannelKey{Signal::vehicle_speed_km_h},
                            .unit = "km/h",
                            .time_base = 1,
                            .values = {10.0, 11.0, 12.0}});
    EXPECT_TRUE(clock_faults(log).empty());
}

}  // namespace
}  // namespace revwright
