#include <cmath>
#include <gtest/gtest.h>

#include "formats/mdf4/read_test.h"
#include "formats/mdf4/test_blocks.h"

namespace revwright::mdf4 {
namespace {

using namespace blocks;

/// One record at 0 s with `record` behind its time, and one channel of those bytes.
Log one_sample(const ChannelBlock& channel, const Raw& record, std::uint32_t invalidation_bytes = 0) {
    auto simple =
        simple_file(1, static_cast<std::uint32_t>(8 + record.size()) - invalidation_bytes, invalidation_bytes);
    ChannelBlock placed = channel;
    placed.byte_offset += 8;
    placed.name = simple.file.text("x");
    simple.file.chain(simple.channel_group, Composer::kChannelOfGroup, simple.file.channel(placed));
    simple.file.set_link(simple.group, Composer::kDataOfData,
                         simple.file.data("DT", Raw().f64(0.0).raw(record.bytes())));
    return log_of(simple.file.bytes());
}

double number(const ChannelBlock& channel, const Raw& record) {
    return channel_of(one_sample(channel, record), "x").values.at(0);
}
std::string word(const ChannelBlock& channel, const Raw& record) {
    return words_of(channel_of(one_sample(channel, record), "x"));
}

TEST(Mdf4Samples, IntegersOfEveryOrderAndSign) {
    EXPECT_EQ(number({.data_type = kUnsigned, .bit_count = 8}, Raw().u8(200)), 200.0);
    EXPECT_EQ(number({.data_type = kSigned, .bit_count = 8}, Raw().u8(200)), -56.0);
    EXPECT_EQ(number({.data_type = kUnsigned, .bit_count = 16}, Raw().little(0xABCD, 2)), double{0xABCD});
    EXPECT_EQ(number({.data_type = kUnsignedBig, .bit_count = 16}, Raw().big(0xABCD, 2)), double{0xABCD});
    EXPECT_EQ(number({.data_type = kSignedBig, .bit_count = 16}, Raw().big(0xFFFE, 2)), -2.0);
    EXPECT_EQ(number({.data_type = kSigned, .bit_count = 32}, Raw().little(0xFFFFFFFD, 4)), -3.0);
    EXPECT_EQ(number({.data_type = kUnsignedBig, .bit_count = 32}, Raw().big(0x01020304, 4)), double{0x01020304});
    EXPECT_EQ(number({.data_type = kSigned, .bit_count = 64}, Raw().u64(~std::uint64_t{0})), -1.0);
    EXPECT_EQ(number({.data_type = kUnsigned, .bit_count = 64}, Raw().u64(std::uint64_t{1} << 63)),
              std::ldexp(1.0, 63));
    EXPECT_EQ(number({.data_type = kUnsignedBig, .bit_count = 64}, Raw().big(5, 8)), 5.0);
    EXPECT_EQ(number({.data_type = kUnsigned, .bit_count = 24}, Raw().little(0xABCDEF, 3)), double{0xABCDEF});
    EXPECT_EQ(number({.data_type = kSignedBig, .bit_count = 24}, Raw().big(0xFFFFFF, 3)), -1.0);
}

TEST(Mdf4Samples, BitsWithinBytes) {
    EXPECT_EQ(number({.bit_offset = 3, .bit_count = 1}, Raw().u8(0b00001000)), 1.0);
    EXPECT_EQ(number({.bit_offset = 4, .bit_count = 8}, Raw().little(0x0AB0, 2)), double{0xAB});
    EXPECT_EQ(number({.data_type = kSigned, .bit_offset = 2, .bit_count = 3}, Raw().u8(0b11011011)), -2.0);
    EXPECT_EQ(number({.data_type = kUnsignedBig, .bit_offset = 4, .bit_count = 8}, Raw().big(0x0AB0, 2)), double{0xAB});
    // 64 bits that reach into a ninth byte.
    const std::uint64_t all = 0x8000000000000001;
    EXPECT_EQ(number({.bit_offset = 7, .bit_count = 64}, Raw().u64(all << 7).u8(all >> 57)), static_cast<double>(all));
    // Among larger records, where whole machine words may be read, and at their end, where not.
    EXPECT_EQ(number({.bit_offset = 1, .bit_count = 17}, Raw().little(0x15555u << 1, 3).zeros(5)), double{0x15555});
    EXPECT_EQ(number({.bit_offset = 1, .bit_count = 17}, Raw().little(0x15555u << 1, 3)), double{0x15555});
}

// Patterns: IEEE 754-2019, table 3.5 (binary16: 1 0x3C00, largest 0x7BFF = 65504, smallest subnormal 2^-24).
TEST(Mdf4Samples, Floats) {
    EXPECT_EQ(number({.data_type = kFloat, .bit_count = 32}, Raw().f32(0.88F)), static_cast<double>(0.88F));
    EXPECT_EQ(number({.data_type = kFloat, .bit_count = 64}, Raw().f64(0.88)), 0.88);
    EXPECT_EQ(number({.data_type = kFloatBig, .bit_count = 32}, Raw().big(0x3F800000, 4)), 1.0);
    EXPECT_EQ(number({.data_type = kFloatBig, .bit_count = 64}, Raw().big(0xC000000000000000, 8)), -2.0);
    EXPECT_EQ(number({.data_type = kFloat, .bit_count = 16}, Raw().little(0x3C00, 2)), 1.0);
    EXPECT_EQ(number({.data_type = kFloat, .bit_count = 16}, Raw().little(0x7BFF, 2)), 65504.0);
    EXPECT_EQ(number({.data_type = kFloatBig, .bit_count = 16}, Raw().big(0x8001, 2)), -std::ldexp(1.0, -24));
    EXPECT_TRUE(std::isnan(number({.data_type = kFloat, .bit_count = 16}, Raw().little(0x7C00, 2)))) << "infinite";
}

TEST(Mdf4Samples, Strings) {
    EXPECT_EQ(word({.data_type = kLatin1, .bit_count = 64}, Raw()
                                                                .chars("30 \xB0"
                                                                       "C")
                                                                .zeros(3)),
              "30 \xC2\xB0"
              "C");
    EXPECT_EQ(word({.data_type = kUtf8, .bit_count = 32}, Raw().chars("\xC2\xB5s").zeros(1)), "\xC2\xB5s");
    EXPECT_EQ(word({.data_type = kUtf16, .bit_count = 64}, Raw().u16('o').u16('n').u16(0).u16('x')), "on");
    // U+1F3C1 as a pair of halves (RFC 2781).
    EXPECT_EQ(word({.data_type = kUtf16Big, .bit_count = 32}, Raw().big(0xD83CDFC1, 4)), "\xF0\x9F\x8F\x81");
    EXPECT_EQ(word({.data_type = kUtf8, .bit_count = 32}, Raw().zeros(4)), "-");
}

// CiA 301, TIME_OF_DAY: days since 1984-01-01, milliseconds since midnight. 2024-02-29 is day 14,669.
TEST(Mdf4Samples, CanopenTimes) {
    EXPECT_EQ(number({.data_type = kCanopenTime, .bit_count = 48}, Raw().u32(1500).u16(14669)), 14669 * 86400.0 + 1.5);
    EXPECT_EQ(number({.data_type = kCanopenDate, .bit_count = 56}, Raw().u16(1500).u8(2).u8(1).u8(29).u8(2).u8(24)),
              14669 * 86400.0 + 3600 + 120 + 1.5);
}

TEST(Mdf4Samples, InvalidOnesAreNone) {
    const auto sample = [](std::uint32_t flags, unsigned bits) {
        return channel_of(
                   one_sample({.bit_count = 8, .flags = flags, .invalidation_bit = 9}, Raw().u8(7).u8(0).u8(bits), 2),
                   "x")
            .values.at(0);
    };
    EXPECT_EQ(sample(2, 0b00), 7.0);
    EXPECT_TRUE(std::isnan(sample(2, 0b10)));
    EXPECT_EQ(sample(2, 0b01), 7.0);
    EXPECT_EQ(sample(0, 0b10), 7.0) << "the bit is not in use";
    EXPECT_TRUE(std::isnan(sample(1, 0)));
}

TEST(Mdf4Samples, WhatIsNoNumberIsSaid) {
    auto simple = simple_file(1, 16);
    const auto add = [&](ChannelBlock channel, const char* name) {
        channel.name = simple.file.text(name);
        channel.byte_offset += 8;
        simple.file.chain(simple.channel_group, Composer::kChannelOfGroup, simple.file.channel(channel));
    };
    add({.bit_count = 8}, "fine");
    add({.data_type = kBytes, .bit_count = 64}, "frame");
    add({.data_type = kBytes, .bit_count = 32}, "frame 2");
    add({.byte_offset = 7, .bit_count = 16}, "beyond");
    simple.file.set_link(simple.group, Composer::kDataOfData, simple.file.data("DT", Raw().zeros(16)));
    const Log log = log_of(simple.file.bytes());
    EXPECT_EQ(log.channels.size(), 1u);
    EXPECT_EQ(lost_of(log),
              "channel beyond of group 0 ends in byte 17 of a record of 16 bytes; it is left out\n"
              "each of these channels of group 0 holds bytes that are no number; they are left out: frame, frame 2\n");
}

TEST(Mdf4Samples, StructuresAndSmallArrays) {
    auto simple = simple_file(1, 14);
    Composer& file = simple.file;
    const At member = file.channel({.byte_offset = 8, .bit_count = 8, .name = file.text("rpm")});
    file.chain(simple.channel_group, Composer::kChannelOfGroup,
               file.channel({.data_type = kBytes,
                             .byte_offset = 8,
                             .bit_count = 16,
                             .name = file.text("engine"),
                             .composition = member}));
    // Type 0, in the record, 2 dimensions of 2, elements 1 byte apart. Source: ASAM MDF 4.1, block CA.
    const At array = file.block("CA", {0}, Raw().u8(0).u8(0).u16(2).u32(0).u32(1).u32(0).u64(2).u64(2));
    file.chain(simple.channel_group, Composer::kChannelOfGroup,
               file.channel({.byte_offset = 10, .bit_count = 8, .name = file.text("retard"), .composition = array}));
    file.set_link(simple.group, Composer::kDataOfData,
                  file.data("DT", Raw().f64(0).u8(9).u8(0).u8(1).u8(2).u8(3).u8(4)));
    const Log log = log_of(file.bytes());
    EXPECT_EQ(channel_of(log, "engine.rpm").values[0], 9.0);
    EXPECT_EQ(channel_of(log, "retard[0][1]").values[0], 2.0);
    EXPECT_EQ(channel_of(log, "retard[1][0]").values[0], 3.0);
    EXPECT_EQ(log.channels.size(), 5u);
}

}  // namespace
}  // namespace revwright::mdf4
