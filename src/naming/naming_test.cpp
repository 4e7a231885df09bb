#include "naming/naming.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <string>
#include <utility>
#include <vector>

namespace revwright {
namespace {

constexpr double kBlank = std::numeric_limits<double>::quiet_NaN();

/// A log of channels over 0, 1, 2 s.
Log log_of(std::vector<Channel> channels) {
    return {.file = "run.csv", .format = "csv", .time_bases = {{{0.0, 1.0, 2.0}}}, .channels = std::move(channels)};
}

Channel channel(std::string name, std::string unit, std::vector<double> values) {
    return {.name = std::move(name), .unit_in_log = unit, .key = {}, .unit = unit, .values = std::move(values)};
}

Log named(Log log, const ChannelSheet* sheet = nullptr) {
    auto done = name_channels(std::move(log), sheet);
    EXPECT_TRUE(done) << describe(done.error());
    return done ? *std::move(done) : Log{};
}

std::string refusal_of(Log log, const ChannelSheet* sheet = nullptr) {
    const auto done = name_channels(std::move(log), sheet);
    return done ? "named" : describe(done.error());
}

TEST(Naming, CanonicalHeadersNeedNoSheet) {
    const Log log =
        named(log_of({channel("lambda.2", "", {1.0, 0.9, 0.8}), channel("Tank level", "", {1.0, 0.9, 0.8})}));
    EXPECT_EQ(log.channels[0].key, (ChannelKey{Signal::lambda, 2}));
    EXPECT_EQ(log.channels[0].unit, "1");
    EXPECT_EQ(log.channels[0].values, (std::vector{1.0, 0.9, 0.8}));
    EXPECT_FALSE(log.channels[1].key);
    EXPECT_TRUE(log.channels[1].candidates.empty());
    EXPECT_TRUE(log.lost.empty());
}

TEST(Naming, ConvertsTheUnitThatTheLogGives) {
    const Log log =
        named(log_of({channel("boost_pressure_kpa", "hPa", {985.3, 1500.0, 2200.0}),
                      channel("coolant_temp_c", "degF", {212.0, 32.0, kBlank}),
                      channel("pedal_pct", "-", {0.25, 0.5, 1.0}), channel("odd", "furlong", {1.0, 2.0, 3.0})}));
    EXPECT_EQ(log.channels[0].values, (std::vector{98.53, 150.0, 220.0}));
    EXPECT_EQ(log.channels[0].unit, "kPa");
    EXPECT_EQ(log.channels[0].unit_in_log, "hPa");
    EXPECT_NEAR(log.channels[1].values[0], 100.0, 1e-12);
    EXPECT_TRUE(std::isnan(log.channels[1].values[2]));
    EXPECT_EQ(log.channels[2].values, (std::vector{25.0, 50.0, 100.0}));
    EXPECT_EQ(log.channels[3].unit, "furlong");
}

TEST(Naming, TheSheetSaysNameUnitAndSign) {
    const ChannelSheet sheet{
        "sheet.toml",
        {{.name = "ZWV", .is = {Signal::spark_deg, 0}, .sign = -1.0},
         {.name = "Abgas", .is = {Signal::exhaust_temp_c, 0}, .unit = "K", .before_turbine = false},
         {.name = "Drehzahl [U/min]", .is = {Signal::engine_speed_rpm, 0}},
         {.name = "Zeit", .is = {Signal::time_s, 0}},
         {.name = "missing", .is = {Signal::gear, 0}}}};
    const Log log =
        named(log_of({channel("ZWV", "", {-10.0, -12.0, 3.0}), channel("Abgas", "C", {1073.15, 273.15, 1.0}),
                      channel("Drehzahl", "U/min", {800.0, 900.0, 1000.0})}),
              &sheet);
    EXPECT_EQ(log.channels[0].values, (std::vector{10.0, 12.0, -3.0}));
    EXPECT_NEAR(log.channels[1].values[0], 800.0, 1e-9) << "the sheet's unit goes before the log's";
    EXPECT_FALSE(log.channels[1].before_turbine);
    EXPECT_EQ(log.find(Signal::engine_speed_rpm), &log.channels[2]);
    EXPECT_EQ(log.lost, (std::vector<std::string>{"the channel sheet names missing as gear, which is not in the log"}));
}

const ChannelSheet kGaugeSheet{
    "sheet.toml", {{.name = "Ladedruck rel.", .is = {Signal::boost_pressure_kpa, 0}, .unit = "bar", .gauge = true}}};

TEST(Naming, GaugePressureHasTheAmbientAddedAtItsOwnTimes) {
    Log raw = log_of({channel("Ladedruck rel.", "bar", {0.0, 1.0, kBlank})});
    raw.time_bases.push_back({{0.5, 1.5}});
    raw.channels.push_back(channel("ambient_pressure_kpa", "mbar", {980.0, 960.0}));
    raw.channels.back().time_base = 1;
    const Log log = named(std::move(raw), &kGaugeSheet);
    EXPECT_DOUBLE_EQ(log.channels[0].values[0], 98.0) << "held before the first sample";
    EXPECT_DOUBLE_EQ(log.channels[0].values[1], 197.0) << "halfway between the samples";
    EXPECT_TRUE(std::isnan(log.channels[0].values[2]));
    EXPECT_TRUE(log.lost.empty());
}

TEST(Naming, WithoutAmbientPressureTheStandardOneIsAssumedAndSaid) {
    const Log log = named(log_of({channel("Ladedruck rel.", "bar", {0.0, 1.0, 1.5})}), &kGaugeSheet);
    EXPECT_DOUBLE_EQ(log.channels[0].values[1], 201.325);
    EXPECT_EQ(log.lost, (std::vector<std::string>{
                            "channel Ladedruck rel. is gauge: ambient pressure not logged, 101.325 kPa assumed"}));
    const Log header = named(log_of({channel("rail_pressure_mpa", "bar gauge", {0.0, 200.0, 100.0})}));
    EXPECT_DOUBLE_EQ(header.channels[0].values[1], 20.101325);
}

TEST(Naming, NegativeKnockRetardIsTurnedRound) {
    const Log log = named(log_of({channel("knock_retard_deg.1", "", {0.0, -3.0, -1.5}),
                                  channel("knock_retard_deg.2", "", {0.0, 3.0, kBlank}),
                                  channel("knock_retard_deg.3", "", {0.0, 0.0, 0.0})}));
    EXPECT_EQ(log.channels[0].values, (std::vector{0.0, 3.0, 1.5}));
    EXPECT_FALSE(std::signbit(log.channels[0].values[0]));
    EXPECT_EQ(log.channels[1].values[1], 3.0);
    EXPECT_EQ(log.channels[2].values, (std::vector{0.0, 0.0, 0.0}));
}

TEST(Naming, RefusesUnitsOfAnotherKind) {
    const std::vector<double> values{1.0, 2.0, 3.0};
    EXPECT_EQ(refusal_of(log_of({channel("coolant_temp_c", "kPa", values)})),
              "run.csv: channel coolant_temp_c: expected a unit that converts to C for coolant_temp_c, found \"kPa\"");
    EXPECT_EQ(refusal_of(log_of({channel("lambda", "AFR", values)})),
              "run.csv: channel lambda: expected a unit that converts to 1 for lambda, found \"AFR\"");
    EXPECT_EQ(refusal_of(log_of({channel("torque_nm", "Nm gauge", values)})),
              "run.csv: channel torque_nm: only a pressure can be gauge, found torque_nm in \"Nm gauge\"");
    EXPECT_EQ(refusal_of(log_of({channel("ambient_pressure_kpa", "bar gauge", values)})),
              "run.csv: channel ambient_pressure_kpa: the ambient pressure must be absolute, found \"bar gauge\"");
}

TEST(Naming, RefusesTwoChannelsWithOneName) {
    const std::vector<double> values{1.0, 2.0, 3.0};
    EXPECT_EQ(refusal_of(log_of({channel("gear", "", values), channel("gear", "", values)})),
              "run.csv: expected one channel for gear, found gear (channel 1) and gear (channel 2)");
    const ChannelSheet sheet{"sheet.toml",
                             {{.name = "Gang", .is = {Signal::gear, 0}, .where = {"sheet.toml", 3, 1}},
                              {.name = "Gang", .is = {Signal::lambda, 0}, .where = {"sheet.toml", 7, 1}}}};
    EXPECT_EQ(refusal_of(log_of({channel("Gang", "", values)}), &sheet),
              "sheet.toml:7:1: expected one meaning for the channel Gang, found gear and lambda");
}

}  // namespace
}  // namespace revwright
