#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <numeric>
#include <vector>

#include "formats/mdf4/read_test.h"
#include "formats/mdf4/reader.h"

namespace revwright::mdf4 {
namespace {

// Truths: the test data of danielhrisca/asammdf and LincolnG4/GoMDF 9a0db6a6, as their own tests and a plain reading of
// the bytes have them.
std::vector<std::uint8_t> open_file(const char* name) {
    const std::filesystem::path path = std::filesystem::path("../shared/data/mdf") / name;
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

#define OPEN_OR_SKIP(bytes, name)       \
    const auto bytes = open_file(name); \
    if (bytes.empty()) GTEST_SKIP() << "no open data beside the project: " << (name)

std::vector<std::size_t> rows_of_groups(const Log& log) {
    std::vector<std::size_t> rows;
    for (const Channel& channel : log.channels) {
        rows.resize(std::max(rows.size(), *channel.group + 1));
        rows[*channel.group] = channel.values.size();
    }
    return rows;
}

class SameRecording : public testing::TestWithParam<const char*> {};

TEST_P(SameRecording, HoldsTheTruthsInEveryVersion) {
    OPEN_OR_SKIP(bytes, GetParam());
    const Log log = log_of(bytes);
    auto rows = rows_of_groups(log);
    std::ranges::sort(rows);
    EXPECT_EQ(rows, (std::vector<std::size_t>{4, 90, 90, 896}));
    const Channel& doubled = channel_of(log, "ASAM.M.SCALAR.SBYTE.LINEAR_MUL_2");
    EXPECT_EQ(doubled.values.front(), -136.0);
    EXPECT_EQ(doubled.values.back(), 156.0);
    EXPECT_EQ(doubled.unit, "m/s");
    EXPECT_EQ(channel_of(log, "ASAM.M.SCALAR.UBYTE.FORM_X_PLUS_4").values.front(), 4.0);
    EXPECT_EQ(channel_of(log, "ASAM.M.SCALAR.UBYTE.FORM_X_PLUS_4").values.back(), 126.0);
    EXPECT_EQ(channel_of(log, "ASAM.M.SCALAR.SWORD.IDENTICAL").values.front(), 900.0);
    EXPECT_EQ(channel_of(log, "ASAM.M.SCALAR.SWORD.IDENTICAL").values.back(), 790.0);
    const auto& times = log.time_bases[doubled.time_base].seconds;
    ASSERT_EQ(times.size(), 90u);
    EXPECT_NEAR(times.front(), 0.0586474, 5e-8);
    EXPECT_NEAR(times.back(), 8.9586477, 5e-8);
    // The last key of the table is 13: beyond it the last value stays.
    EXPECT_EQ(channel_of(log, "ASAM.M.SCALAR.UBYTE.TAB_INTP_DEFAULT_VALUE").values.back(), 111.0);
    const Channel& words = channel_of(log, "ASAM.M.SCALAR.UBYTE.VTAB_RANGE_DEFAULT_VALUE");
    EXPECT_TRUE(std::ranges::count(words.texts, "Zero_to_one") == 1 &&
                std::ranges::count(words.texts, "out of range value") == 1)
        << testing::PrintToString(words.texts);
    EXPECT_EQ(log.lost, std::vector<std::string>{});
    EXPECT_TRUE(log.quality.empty());
}
INSTANTIATE_TEST_SUITE_P(OpenData, SameRecording,
                         testing::Values("ASAP2_Demo_V161_4.00.mf4", "ASAP2_Demo_V161_4.10.mf4"));

TEST(OpenData, SevenGroupsInListsOfBlocks) {
    OPEN_OR_SKIP(bytes, "ASAP2_Demo_V171.mf4");
    const Log log = log_of(bytes);
    const auto rows = rows_of_groups(log);
    EXPECT_EQ(rows, (std::vector<std::size_t>{124, 1240, 12402, 12402, 12402, 12402, 2}))
        << "the last: calibration pages";
    std::size_t clocks = 0;
    for (const TimeBase& base : log.time_bases) clocks += base.listed_as.size();
    EXPECT_EQ(log.channels.size() + clocks, 45u);
    // Tables without interpolation of this recording have keys -3 to 13.
    const Channel& table = channel_of(log, "ASAM.M.SCALAR.UBYTE.TAB_NOINTP_NO_DEFAULT_VALUE");
    EXPECT_GE(std::ranges::min(table.values), 98.0);
}

TEST(OpenData, Deflated) {
    OPEN_OR_SKIP(bytes, "Discrete_deflate.mf4");
    OPEN_OR_SKIP(plain_bytes, "ASAP2_Demo_V171.mf4");
    // The deflated file is an export of one group of the other.
    const Log log = log_of(bytes), plain = log_of(plain_bytes);
    EXPECT_EQ(channel_of(log, "ASAM.M.SCALAR.SBYTE.IDENTICAL.DISCRETE").values,
              channel_of(plain, "ASAM.M.SCALAR.SBYTE.IDENTICAL.DISCRETE").values);
    EXPECT_EQ(log.time_bases[0].seconds.size(), 124u);
}

TEST(OpenData, CodesBesideAScaleAreNoNumbers) {
    OPEN_OR_SKIP(bytes, "sample3.mf4");
    const Log log = log_of(bytes);
    ASSERT_EQ(log.channels.size(), 1u);
    const Channel& speed = log.channels[0];
    EXPECT_EQ(speed.unit, "km/h");
    EXPECT_TRUE(speed.texts.empty());
    ASSERT_EQ(speed.values.size(), 3u);
    EXPECT_EQ(speed.values[0], 0x63BF * 0.00390625);  // bytes BF 63 of the first record
}

TEST(OpenData, WholeNumbersOf64Bits) {
    OPEN_OR_SKIP(bytes, "sample2.mf4");
    const Log log = log_of(bytes);
    ASSERT_EQ(log.channels.size(), 3u);
    EXPECT_EQ(log.channels[0].values.size(), 20u);
    EXPECT_EQ(channel_of(log, "channel_a").values[0], 2.0);
    EXPECT_EQ(channel_of(log, "channel_b").values[0], 5.0);
}

}  // namespace
}  // namespace revwright::mdf4
