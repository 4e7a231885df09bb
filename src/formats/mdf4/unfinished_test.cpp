#include <gtest/gtest.h>

#include "formats/mdf4/read_test.h"
#include "formats/mdf4/test_blocks.h"

namespace revwright::mdf4 {
namespace {

using namespace blocks;
using Numbers = std::vector<double>;

constexpr const char* kNotFinished = "the file was not finished by its logger; it is read as far as it is whole\n";

Raw records(const std::vector<double>& times) {
    Raw raw;
    for (const double time : times) raw.f64(time).f64(10.0 * time);
    return raw;
}

/// A time and a number x of ten times as much.
SimpleFile two_doubles(std::uint64_t cycles, const Identification& identification = {}) {
    auto simple = simple_file(cycles, 16, 0, identification);
    simple.file.chain(
        simple.channel_group, Composer::kChannelOfGroup,
        simple.file.channel({.data_type = kFloat, .byte_offset = 8, .bit_count = 64, .name = simple.file.text("x")}));
    return simple;
}

Numbers x_of(const Log& log) { return channel_of(log, "x").values; }

TEST(Mdf4Unfinished, CountsAndLengthComeFromTheFile) {
    auto simple = two_doubles(0, {.file = "UnFinMF ", .unfinished_flags = 1 + 4});
    Composer& file = simple.file;
    const At data = file.data("DT", records({0, 1, 2}));
    file.set_link(simple.group, Composer::kDataOfData, data);
    file.set(data + 8, Raw().u64(24));  // the logger never came to write its length
    file.cut(file.size() - 3);          // nor the end of the last record
    const Log log = log_of(file.bytes());
    EXPECT_EQ(x_of(log), (Numbers{0, 10}));
    EXPECT_EQ(lost_of(log), kNotFinished + std::string("the file was not finished: the data block at byte ") +
                                std::to_string(data) + " is read up to byte " + std::to_string(file.size()) +
                                "\nthe file was not finished: the 2 records of group 0 are counted from the data\n");
}

TEST(Mdf4Unfinished, BlocksBehindTheLastListAreFound) {
    auto simple = two_doubles(0, {.file = "UnFinMF ", .unfinished_flags = 1 + 16});
    Composer& file = simple.file;
    const At list = file.data_list({0, 0, 0}, {0, 0, 0});
    const At first = file.data("DT", records({0, 1}));
    file.set_link(list, 1, first);
    file.data("DT", records({2}));
    file.data("DT", records({3}));
    file.set_link(simple.group, Composer::kDataOfData, list);
    const Log log = log_of(file.bytes());
    EXPECT_EQ(x_of(log), (Numbers{0, 10, 20, 30}));
    EXPECT_NE(lost_of(log).find("2 data blocks of group 0 stood in no list and were found behind the last one"),
              std::string::npos)
        << lost_of(log);
}

TEST(Mdf4Unfinished, ACutFileIsReadAsFarAsItIsWhole) {
    auto simple = two_doubles(3);
    Composer& file = simple.file;
    file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records({0, 1, 2})));
    file.cut(file.size() - 4);
    const Log log = log_of(file.bytes());
    EXPECT_EQ(x_of(log), (Numbers{0, 10}));
    EXPECT_NE(lost_of(log).find(
                  "are cut short: 44 of 48 bytes are there\ngroup 0 should hold 3 records; only 2 are in the file\n"),
              std::string::npos)
        << lost_of(log);
}

TEST(Mdf4Unfinished, AGroupBehindTheEndIsSaid) {
    auto simple = two_doubles(1);
    Composer& file = simple.file;
    file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records({1})));
    file.set_link(simple.group, 0, file.size() + 1000);
    const Log log = log_of(file.bytes());
    EXPECT_EQ(x_of(log), Numbers{10});
    EXPECT_EQ(lost_of(log), "further data groups lie at byte " + std::to_string(file.size() + 1000) +
                                ", behind the end of the file\n");
}

TEST(Mdf4Clock, RecordsWhoseTimeDoesNotRiseAreLeftOut) {
    auto simple = two_doubles(7);
    Composer& file = simple.file;
    file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records({0, 1, 1, 2, 0.5, 0.75, 3})));
    const Log log = log_of(file.bytes());
    EXPECT_EQ(x_of(log), (Numbers{0, 10, 20, 30}));
    EXPECT_EQ(log.time_bases[0].seconds, (Numbers{0, 1, 2, 3}));
    ASSERT_EQ(log.quality.size(), 2u);
    EXPECT_EQ(log.quality[0].kind, "time-repeated");
    EXPECT_EQ(log.quality[0].text, "the time 1 s is repeated; 1 record, 3, of group 0 is left out");
    EXPECT_EQ(log.quality[1].kind, "time-reversed");
    EXPECT_EQ(log.quality[1].text,
              "the time runs back from 2 s to 0.5 s; 2 records between record 5 and record 6 of group 0 are left out");
}

TEST(Mdf4Clock, WithoutATimeTheRecordsCount) {
    auto simple = two_doubles(2);
    Composer& file = simple.file;
    const At master = file.link(simple.channel_group, Composer::kChannelOfGroup);
    file.set(master + 24 + 8 * 8 + 1, Raw().u8(kAngle));
    file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records({90, 80})));
    const Log log = log_of(file.bytes());
    EXPECT_EQ(log.time_bases[0].seconds, (Numbers{0, 1}));
    EXPECT_EQ(channel_of(log, "t").values, (Numbers{90, 80})) << "an angle is a channel like any other";
    EXPECT_EQ(lost_of(log),
              "group 0 has an angle for its master and no time; its channels stand over the number of the record\n");
}

TEST(Mdf4Clock, MillisecondsAreReadAsSuch) {
    auto simple = two_doubles(2);
    Composer& file = simple.file;
    file.set_link(file.link(simple.channel_group, Composer::kChannelOfGroup), 6,
                  file.text("<CNunit><TX>ms</TX></CNunit>", "MD"));
    file.set_link(simple.group, Composer::kDataOfData, file.data("DT", records({250, 500})));
    EXPECT_EQ(log_of(file.bytes()).time_bases[0].seconds, (Numbers{0.25, 0.5}));
}

}  // namespace
}  // namespace revwright::mdf4
