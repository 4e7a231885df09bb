#include <gtest/gtest.h>

#include "formats/mdf4/read_test.h"
#include "formats/mdf4/test_blocks.h"

namespace revwright::mdf4 {
namespace {

using namespace blocks;

SimpleFile good_file() {
    auto simple = simple_file(1, 9);
    simple.file.chain(simple.channel_group, Composer::kChannelOfGroup,
                      simple.file.channel({.byte_offset = 8, .bit_count = 8, .name = simple.file.text("x")}));
    simple.file.set_link(simple.group, Composer::kDataOfData, simple.file.data("DT", Raw().f64(0).u8(1)));
    return simple;
}

std::string at(At byte, const std::string& what) { return "a.mf4 at byte " + std::to_string(byte) + ": " + what; }

TEST(Mdf4Refused, WhatIsNoMdf4) {
    EXPECT_EQ(refusal_of(Raw().chars("time_s,rpm\n0,1\n").bytes()),
              at(0, "expected a file that begins with \"MDF\" or \"UnFinMF\" and blanks, found another"));
    EXPECT_EQ(refusal_of(Composer({.version = "3.30    ", .version_number = 330}).bytes()),
              at(8, "expected MDF of version 4, found version 3.30; export the file as MDF 4"));
    EXPECT_EQ(refusal_of(Composer().bytes()), "a.mf4: expected a group of channels with records, found none");
    const Composer empty;
    EXPECT_FALSE(looks_like(Raw().chars("MDF").bytes()));
    EXPECT_TRUE(looks_like(empty.bytes()));
}

TEST(Mdf4Refused, LinksInACircle) {
    auto file = good_file();
    file.file.set_link(file.group, 0, file.group);
    EXPECT_EQ(refusal_of(file.file.bytes()),
              at(file.group, "expected a block that is linked once, found a second link: the links run in a circle"));
    auto lists = good_file();
    const At data = lists.file.data("DT", Raw().zeros(9));
    const At list = lists.file.data_list({data}, {0});
    lists.file.set_link(list, 0, list);
    lists.file.set_link(lists.group, Composer::kDataOfData, list);
    EXPECT_NE(refusal_of(lists.file.bytes()).find("the links run in a circle"), std::string::npos);
}

TEST(Mdf4Refused, LinksToOtherBlocksAndIntoThem) {
    auto file = good_file();
    file.file.set_link(file.group, Composer::kChannelGroupOfData, file.group);
    EXPECT_EQ(refusal_of(file.file.bytes()), at(file.group, "expected a block CG, found DG"));
    auto inside = good_file();
    inside.file.set_link(inside.group, Composer::kDataOfData, inside.group + 8);
    EXPECT_NE(refusal_of(inside.file.bytes()).find("expected a block, which begins with \"##\", found \""),
              std::string::npos);
    auto overlapping = good_file();
    // A channel group that claims the blocks behind it.
    overlapping.file.set(overlapping.channel_group + 8, Raw().u64(1000).u64(6));
    overlapping.file.data("DT", Raw().zeros(1000));
    EXPECT_NE(refusal_of(overlapping.file.bytes()).find("expected blocks that do not overlap"), std::string::npos)
        << refusal_of(overlapping.file.bytes());
}

TEST(Mdf4Refused, LengthsThatCannotBe) {
    auto file = good_file();
    file.file.set(file.channel_group + 8, Raw().u64(30));
    EXPECT_EQ(refusal_of(file.file.bytes()),
              at(file.channel_group, "expected a block CG of at least 104 bytes with 6 links, found 30 with 6"));
    auto endless = good_file();
    endless.file.set(endless.channel_group + 8, Raw().u64(~std::uint64_t{0}));
    EXPECT_NE(refusal_of(endless.file.bytes()).find("expected a block CG that ends in the file"), std::string::npos);
    auto links = good_file();
    links.file.set(links.channel_group + 16, Raw().u64(std::uint64_t{1} << 61));
    EXPECT_NE(refusal_of(links.file.bytes()).find("whose links are in the file"), std::string::npos);
    auto far = good_file();
    far.file.set_link(far.group, 0, std::uint64_t{1} << 62);
    EXPECT_NE(refusal_of(far.file.bytes()).find("expected a block here, found the end of the file"), std::string::npos);
    auto inflated = good_file();
    const At zipped = inflated.file.deflated("DT", Raw().f64(0).u8(1));
    inflated.file.set(zipped + 24 + 8, Raw().u64(std::uint64_t{1} << 40));
    inflated.file.set_link(inflated.group, Composer::kDataOfData, zipped);
    EXPECT_NE(refusal_of(inflated.file.bytes()).find("deflated bytes can hold, found 1099511627776 bytes"),
              std::string::npos);
}

TEST(Mdf4Refused, CountersAreHeldAgainstTheBytes) {
    auto file = good_file();
    file.file.set(file.channel_group + 24 + 6 * 8 + 8, Raw().u64(std::uint64_t{1} << 60));
    const Log log = log_of(file.file.bytes());
    EXPECT_EQ(channel_of(log, "x").values.size(), 1u);
    EXPECT_EQ(lost_of(log), "group 0 should hold 1152921504606846976 records; only 1 is in the file\n");
}

TEST(Mdf4Refused, ManyChannelsOfTheSameBytesAreTooMuchForASmallFile) {
    auto simple = simple_file(0, 9);
    Composer& file = simple.file;
    for (int i = 0; i < 2000; ++i)
        file.chain(simple.channel_group, Composer::kChannelOfGroup,
                   file.channel({.byte_offset = 8, .bit_count = 8, .name = 0}));
    file.set_link(simple.group, Composer::kDataOfData, file.deflated("DT", Raw().zeros(9 * 200'000)));
    const auto log = read(file.bytes(), "a.mf4");
    ASSERT_FALSE(log);
    EXPECT_NE(log.error().what.find("more than a file of this size can mean"), std::string::npos) << log.error().what;
}

}  // namespace
}  // namespace revwright::mdf4
