#include "naming/repeated.h"

#include <cmath>
#include <gtest/gtest.h>

#include "naming/naming.h"

namespace revwright {
namespace {

/// Engine speed of a drive of a minute, in rows so often; at, the group of the file.
void add_group(Log& log, std::size_t at, double hz, const std::string& name, const std::string& unit,
               double (*value)(double)) {
    TimeBase base;
    Channel channel{.name = name, .unit_in_log = unit, .key = {}, .unit = unit, .values = {}};
    for (double t = 0.3 / hz; t < 60.0; t += 1.0 / hz) {
        base.seconds.push_back(t);
        channel.values.push_back(value(t));
    }
    channel.time_base = log.time_bases.size();
    channel.group = at;
    log.time_bases.push_back(base);
    log.channels.push_back(channel);
}

double turning(double t) { return std::round(2500.0 + 1800.0 * std::sin(0.8 * t)); }
double otherwise(double t) { return std::round(2500.0 + 1800.0 * std::sin(0.8 * t + 1.0)); }
double in_steps(double t) { return turning(std::floor(t)); }  // a fast row that repeats what is renewed each second

Log named(Log log, const ChannelSheet* sheet = nullptr) {
    auto done = name_channels(std::move(log), sheet);
    EXPECT_TRUE(done) << describe(done.error());
    return done ? *std::move(done) : Log{};
}

TEST(Repeated, of_one_channel_in_several_groups_the_one_renewed_most_often_is_named) {
    Log log;
    add_group(log, 0, 10.0, "engine speed", "rpm", turning);
    add_group(log, 1, 50.0, "engine speed", "rpm", turning);
    add_group(log, 4, 1.0, "engine speed", "rpm", turning);
    log = named(std::move(log));
    EXPECT_FALSE(log.channels[0].key);
    EXPECT_TRUE(log.channels[0].candidates.empty());
    EXPECT_EQ(log.channels[1].key, (ChannelKey{Signal::engine_speed_rpm, 0}));
    EXPECT_FALSE(log.channels[2].key);
    EXPECT_EQ(log.lost, (std::vector<std::string>{"channel engine speed stands in group 1 and again in group 0, 4: "
                                                  "taken from group 1, where it is renewed most often"}));
}

TEST(Repeated, rows_that_repeat_a_value_are_no_renewal) {
    Log log;
    add_group(log, 0, 100.0, "engine_speed_rpm", "rpm", in_steps);
    add_group(log, 1, 10.0, "engine_speed_rpm", "rpm", turning);
    log = named(std::move(log));
    EXPECT_FALSE(log.channels[0].key);
    EXPECT_TRUE(log.channels[1].key);
}

TEST(Repeated, one_name_for_two_things_is_asked_about) {
    Log log;
    add_group(log, 0, 10.0, "engine speed", "rpm", otherwise);
    add_group(log, 1, 50.0, "engine speed", "rpm", turning);
    log = named(std::move(log));
    for (const Channel& channel : log.channels) {
        EXPECT_FALSE(channel.key);
        EXPECT_EQ(channel.candidates, (std::vector<std::string>{"engine_speed_rpm"}));
    }
}

TEST(Repeated, another_unit_is_asked_about) {
    Log log;
    add_group(log, 0, 10.0, "engine speed", "1/min", turning);
    add_group(log, 1, 50.0, "engine speed", "rpm", turning);
    log = named(std::move(log));
    EXPECT_FALSE(log.channels[0].key);
    EXPECT_FALSE(log.channels[1].key);
}

TEST(Repeated, what_ends_early_does_not_stand_for_the_whole) {
    Log log;
    add_group(log, 0, 10.0, "engine speed", "rpm", turning);
    add_group(log, 1, 50.0, "engine speed", "rpm", turning);
    log.time_bases[1].seconds.resize(1000);  // 20 of 60 s
    log.channels[1].values.resize(1000);
    mark_repeated(log);
    EXPECT_FALSE(log.channels[0].repeated);
}

TEST(Repeated, a_sheet_row_means_the_one_renewed_most_often) {
    Log log;
    add_group(log, 0, 10.0, "n", "", turning);
    add_group(log, 1, 50.0, "n", "", turning);
    const ChannelSheet sheet{"sheet.toml", {{.name = "n", .is = {Signal::engine_speed_rpm, 0}}}};
    log = named(std::move(log), &sheet);
    EXPECT_FALSE(log.channels[0].key);
    EXPECT_TRUE(log.channels[1].key);
}

TEST(Repeated, words_are_never_ours) {
    Log log;
    add_group(log, 0, 10.0, "gear", "", [](double) { return 0.0; });
    log.channels[0].texts = {"neutral"};
    const ChannelSheet sheet{"sheet.toml", {{.name = "gear", .is = {Signal::gear, 0}}}};
    EXPECT_EQ(named(log, &sheet).lost,
              (std::vector<std::string>{"the channel sheet names gear as gear, but it holds words, not numbers"}));
    log = named(std::move(log));
    EXPECT_FALSE(log.channels[0].key);
    EXPECT_TRUE(log.channels[0].candidates.empty());
}

}  // namespace
}  // namespace revwright
