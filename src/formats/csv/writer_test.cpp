#include "formats/csv/writer.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <map>
#include <rapidcheck/gtest.h>
#include <string>
#include <utility>
#include <vector>

#include "formats/csv/reader.h"

namespace revwright {
namespace {

Channel channel(std::string name, std::string unit, std::size_t base, std::vector<double> values) {
    return {.name = std::move(name),
            .unit_in_log = unit,
            .key = {},
            .unit = unit,
            .time_base = base,
            .values = std::move(values)};
}

TEST(CsvWriter, MergesTimeBasesAndWritesUnitsWhereTheyAreNotCanonical) {
    Log log{.file = "run.csv", .format = "csv", .time_bases = {{{0.0, 0.1, 0.2}}, {{0.1, 0.15}}}, .channels = {}};
    log.channels.push_back(channel("n", "rpm", 0, {1000.0, std::numeric_limits<double>::quiet_NaN(), 1200.25}));
    log.channels[0].key = ChannelKey{Signal::engine_speed_rpm, 0};
    log.channels.push_back(channel("\xC3\x96l, oben",
                                   "\xC2\xB0"
                                   "C",
                                   1, {90.0, 91.0}));
    log.channels.push_back(channel("cell (2)", "", 1, {-0.5, 1e-7}));
    EXPECT_EQ(csv::write(log, {.decimals = {1, 0}}),
              "time_s,engine_speed_rpm,\"\xC3\x96l, oben [\xC2\xB0"
              "C]\",cell (2) []\n"
              "0,1000.0,,\n"
              "0.1,,90,-0.5\n"
              "0.15,,91,1e-07\n"
              "0.2,1200.2,,\n");
}

/// What a log says: the samples of each channel by time.
using Samples = std::map<std::pair<std::string, std::string>, std::map<double, double>>;
Samples samples_of(const Log& log) {
    Samples samples;
    for (const Channel& c : log.channels)
        for (std::size_t i = 0; i < c.values.size(); ++i)
            if (!std::isnan(c.values[i]))
                samples[{c.name, c.unit}][log.time_bases[c.time_base].seconds[i]] = c.values[i];
    return samples;
}

std::vector<double> rising_times() {
    std::vector<double> seconds;
    double now = *rc::gen::inRange(-50, 50) / 8.0;
    for (int count = *rc::gen::inRange(1, 40); count > 0; --count) {
        seconds.push_back(now);
        now += *rc::gen::inRange(1, 300) / 128.0;
    }
    return seconds;
}

double any_value() {
    const double value = *rc::gen::arbitrary<double>();
    return *rc::gen::inRange(0, 4) == 0 || !std::isfinite(value) ? std::numeric_limits<double>::quiet_NaN() : value;
}

Log any_log() {
    const std::vector<std::string> odd = {"a", "Lambda (bank 1)", "x[2]",   "b, c", "d;\"e\"", "time",
                                          "7", "\xCE\xBB",        "rpm [x]"};
    const std::vector<std::string> units = {"",
                                            "rpm",
                                            "bar gauge",
                                            "\xC2\xB0"
                                            "C",
                                            "1",
                                            "furlong"};
    Log log{.file = "any.csv", .format = "csv", .time_bases = {}, .channels = {}};
    for (int bases = *rc::gen::inRange(1, 4); bases > 0; --bases) log.time_bases.push_back({rising_times()});
    const int count = *rc::gen::inRange(1, 6);
    for (int i = 0; i < count; ++i) {
        const auto base = static_cast<std::size_t>(*rc::gen::inRange<int>(0, static_cast<int>(log.time_bases.size())));
        std::vector<double> values(log.time_bases[base].seconds.size());
        for (double& value : values) value = any_value();
        log.channels.push_back(
            channel(*rc::gen::elementOf(odd) + std::to_string(i) + *rc::gen::element<std::string>("", "]", ")"),
                    *rc::gen::elementOf(units), base, std::move(values)));
    }
    log.channels.push_back(channel("always", "", 0, std::vector<double>(log.time_bases[0].seconds.size(), 0.25)));
    return log;
}

RC_GTEST_PROP(CsvWriterProperty, WhatIsWrittenReadsBackTheSame, ()) {
    const Log log = any_log();
    const std::string text = csv::write(log);
    const auto back = csv::read(text, "any.csv");
    RC_LOG() << text;
    RC_ASSERT(back.has_value());
    RC_ASSERT(samples_of(*back) == samples_of(log));
    RC_ASSERT(back->quality.empty());
}

}  // namespace
}  // namespace revwright
