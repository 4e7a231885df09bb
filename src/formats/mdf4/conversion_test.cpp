#include <cmath>
#include <gtest/gtest.h>

#include "formats/mdf4/read_test.h"
#include "formats/mdf4/segments.h"
#include "formats/mdf4/test_blocks.h"

namespace revwright::mdf4 {
namespace {

using namespace blocks;

/// A file of one channel of doubles, or whole numbers of 16 bits, with a conversion.
struct Converted {
    SimpleFile simple;
    Log read(At conversion, const std::vector<double>& raw, bool whole = true) {
        Composer& file = simple.file;
        ChannelBlock channel{.data_type = whole ? kSigned : kFloat,
                             .byte_offset = 8,
                             .bit_count = whole ? 16u : 64u,
                             .name = file.text("x"),
                             .conversion = conversion};
        file.chain(simple.channel_group, Composer::kChannelOfGroup, file.channel(channel));
        Raw records;
        for (std::size_t i = 0; i < raw.size(); ++i) {
            records.f64(static_cast<double>(i));
            if (whole)
                records.little(static_cast<std::uint64_t>(static_cast<std::int64_t>(raw[i])), 8);
            else
                records.f64(raw[i]);
        }
        file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records));
        return log_of(file.bytes());
    }
    std::vector<double> numbers(At conversion, const std::vector<double>& raw, bool whole = true) {
        return channel_of(read(conversion, raw, whole), "x").values;
    }
    std::string words(At conversion, const std::vector<double>& raw, bool whole = true) {
        return words_of(channel_of(read(conversion, raw, whole), "x"));
    }
};

Converted file_of(std::uint64_t cycles) { return {simple_file(cycles, 16)}; }

using Numbers = std::vector<double>;

TEST(Mdf4Conversion, ANumberThatDoesNotExistIsNoSample) {
    auto reciprocal = file_of(3);  // 1 / x
    const Log log =
        reciprocal.read(reciprocal.simple.file.conversion({.type = 2, .values = {0, 0, 1, 0, 1, 0}}), {2, 0, 4});
    const std::vector<double>& values = channel_of(log, "x").values;
    ASSERT_EQ(values.size(), 3U);
    EXPECT_EQ(values[0], 0.5);
    EXPECT_TRUE(std::isnan(values[1]));
    EXPECT_EQ(values[2], 0.25);
    ASSERT_EQ(log.lost.size(), 1U);
    EXPECT_NE(log.lost[0].find("1 number is not finite; no sample there"), std::string::npos) << log.lost[0];
}

// Values: the examples of the project's check list, computed from the formulas of ASAM MDF 4, block CC.
TEST(Mdf4Conversion, NumbersToNumbers) {
    auto linear = file_of(1);
    EXPECT_EQ(linear.numbers(linear.simple.file.conversion({.type = 1, .values = {-40, 0.75}}), {80}), Numbers{20});
    auto rational = file_of(1);  // (2 x^2 + 3 x + 4) / (x^2 + 1) at 3
    EXPECT_EQ(rational.numbers(rational.simple.file.conversion({.type = 2, .values = {2, 3, 4, 1, 0, 1}}), {3}),
              Numbers{31.0 / 10.0});
    auto between = file_of(5);
    EXPECT_EQ(between.numbers(between.simple.file.conversion({.type = 4, .values = {0, 0, 10, 100, 20, 150}}),
                              {15, 25, -5, 10, 0}),
              (Numbers{125, 150, 0, 100, 0}));
    auto nearest = file_of(4);
    EXPECT_EQ(nearest.numbers(nearest.simple.file.conversion({.type = 5, .values = {0, 0, 10, 100, 20, 150}}),
                              {14, 15, 16, 99}),
              (Numbers{100, 100, 150, 150}));
    auto formula = file_of(2);
    const At text = formula.simple.file.text("2 * X ^ 2 + 1");
    EXPECT_EQ(formula.numbers(formula.simple.file.conversion({.type = 3, .refs = {text}}), {3, -1}), (Numbers{19, 3}));
}

TEST(Mdf4Conversion, RangesAreClosedForWholeNumbersAndOpenAboveForOthers) {
    const std::vector<double> rows{0, 10, 1, 10, 20, 2, 30, 30, 3, -1};
    auto whole = file_of(5);
    EXPECT_EQ(whole.numbers(whole.simple.file.conversion({.type = 6, .values = rows}), {0, 10, 11, 20, 21}),
              (Numbers{1, 1, 2, 2, -1}));
    auto other = file_of(4);
    EXPECT_EQ(other.numbers(other.simple.file.conversion({.type = 6, .values = rows}), {9.5, 10, 20, 30}, false),
              (Numbers{1, 2, -1, 3}));
}

TEST(Mdf4Conversion, OfRangesThatOverlapTheFirstCounts) {
    const Segments segments({{5, 8}, {0, 10}, {7, 20}}, true);
    EXPECT_EQ(segments.find(4), 1u);
    EXPECT_EQ(segments.find(8), 0u);
    EXPECT_EQ(segments.find(9), 1u);
    EXPECT_EQ(segments.find(20), 2u);
    EXPECT_EQ(segments.find(20.5), Segments::kNone);
    EXPECT_EQ(segments.find(-1), Segments::kNone);
    EXPECT_EQ(segments.find(std::nan("")), Segments::kNone);
}

TEST(Mdf4Conversion, NumbersToWords) {
    auto gears = file_of(4);
    Composer& file = gears.simple.file;
    const At neutral = file.text("N"), reverse = file.text("R");
    // No default: a number that is in no row stays itself, as a word among words.
    EXPECT_EQ(
        gears.words(file.conversion({.type = 7, .values = {0, -1}, .refs = {neutral, reverse, 0}}), {0, 3, -1, 0}),
        "N 3 R N");
    auto ranges = file_of(3);
    Composer& other = ranges.simple.file;
    const At low = other.text("low"), high = other.text("high"), none = other.text("");
    EXPECT_EQ(
        ranges.words(other.conversion({.type = 8, .values = {0, 9, 10, 19}, .refs = {low, high, none}}), {9, 10, 25}),
        "low high -");
}

TEST(Mdf4Conversion, CodesOfStatusBesideAScaleAreNoSample) {
    auto bus = file_of(3);
    Composer& file = bus.simple.file;
    const At scale = file.conversion({.type = 1, .values = {0, 0.25}, .unit = file.text("km/h")});
    const At missing = file.text("not available"), error = file.text("error");
    const Log log =
        bus.read(file.conversion({.type = 7, .values = {255, 254}, .refs = {missing, error, scale}}), {100, 255, 254});
    const Channel& channel = channel_of(log, "x");
    EXPECT_EQ(channel.values[0], 25.0);
    EXPECT_TRUE(std::isnan(channel.values[1]) && std::isnan(channel.values[2]));
    EXPECT_TRUE(channel.texts.empty());
    EXPECT_EQ(channel.unit, "km/h");
    EXPECT_EQ(channel.quality, std::vector<std::string>{"not-available"});
    // Where no status occurs nothing is said of it.
    auto well = file_of(1);
    const At good = well.simple.file.conversion({.type = 1, .values = {0, 0.25}});
    const At word = well.simple.file.text("not available");
    EXPECT_TRUE(
        channel_of(well.read(well.simple.file.conversion({.type = 7, .values = {255}, .refs = {word, good}}), {4}), "x")
            .quality.empty());
}

TEST(Mdf4Conversion, BitsToWords) {
    auto flags = file_of(3);
    Composer& file = flags.simple.file;
    const At on = file.text("on"), off = file.text("off"), open = file.text("open");
    const At pump = file.conversion({.type = 7, .values = {0, 1}, .refs = {off, on, 0}, .name = file.text("pump")});
    const At valve = file.conversion({.type = 7, .values = {2}, .refs = {open, 0}});
    EXPECT_EQ(flags.words(file.conversion({.type = 11, .refs = {pump, valve}, .raw_values = {1, 2}}), {0, 1, 3}),
              "pump = off pump = on pump = on | open");
}

TEST(Mdf4Conversion, TextsToNumbersAndTexts) {
    const auto with = [](unsigned type, const std::vector<double>& values, const std::vector<const char*>& refs) {
        auto simple = simple_file(3, 11);
        Composer& file = simple.file;
        Conversion conversion{.type = type, .values = values};
        for (const char* ref : refs) conversion.refs.push_back(ref == nullptr ? 0 : file.text(ref));
        const At made = file.conversion(conversion);
        file.chain(
            simple.channel_group, Composer::kChannelOfGroup,
            file.channel(
                {.data_type = kUtf8, .byte_offset = 8, .bit_count = 24, .name = file.text("x"), .conversion = made}));
        Raw records;
        records.f64(0).chars("off").f64(1).chars("on").u8(0).f64(2).chars("???");
        file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records));
        return channel_of(log_of(file.bytes()), "x");
    };
    const Channel numbers = with(9, {0, 1, -7}, {"off", "on"});
    EXPECT_EQ(numbers.values, (Numbers{0, 1, -7}));
    EXPECT_TRUE(numbers.texts.empty());
    EXPECT_EQ(words_of(with(10, {}, {"off", "aus", "on", "an", nullptr})), "aus an ???");
    EXPECT_EQ(words_of(with(10, {}, {"off", "aus", "else"})), "aus else else");
}

TEST(Mdf4Conversion, WhatIsNotUnderstoodLeavesTheRawNumber) {
    auto formula = file_of(1);
    const At text = formula.simple.file.text("lookup(X)");
    const Log log = formula.read(formula.simple.file.conversion({.type = 3, .refs = {text}}), {3});
    EXPECT_EQ(channel_of(log, "x").values, Numbers{3});
    EXPECT_NE(lost_of(log).find("is a formula that is not understood; its channels hold the raw numbers"),
              std::string::npos);
    auto short_of_numbers = file_of(1);
    EXPECT_EQ(short_of_numbers.numbers(short_of_numbers.simple.file.conversion({.type = 2, .values = {1, 2}}), {3}),
              Numbers{3});
}

TEST(Mdf4Conversion, InACircleIsRefused) {
    auto simple = simple_file(1, 16);
    Composer& file = simple.file;
    const At outer = file.conversion({.type = 7, .values = {1}, .refs = {0, 0}});
    file.set_link(outer, 5, outer);
    file.chain(simple.channel_group, Composer::kChannelOfGroup,
               file.channel({.byte_offset = 8, .bit_count = 8, .name = file.text("x"), .conversion = outer}));
    EXPECT_NE(refusal_of(file.bytes()).find("expected conversions nested at most 8 deep, found more"),
              std::string::npos);
}

}  // namespace
}  // namespace revwright::mdf4
