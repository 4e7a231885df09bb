#include <cmath>
#include <gtest/gtest.h>
#include <numeric>

#include "formats/mdf4/read_test.h"
#include "formats/mdf4/test_blocks.h"
#include "formats/mdf4/transpose.h"

namespace revwright::mdf4 {
namespace {

using namespace blocks;

constexpr std::size_t kRows = 1000;
constexpr std::uint32_t kRecord = 13;  // no multiple of anything: blocks end within records

/// Records of a time i/10 and a number 3 i of 32 bits, and a byte nobody reads.
Raw all_records() {
    Raw raw;
    for (std::size_t i = 0; i < kRows; ++i) raw.f64(static_cast<double>(i) / 10.0).u32(3 * i).u8(0xEE);
    return raw;
}

Raw part(const Raw& raw, std::size_t from, std::size_t count) {
    return Raw().raw(raw.bytes().subspan(from, std::min(count, raw.size() - from)));
}

struct Stream {
    SimpleFile simple = simple_file(kRows, kRecord);
    Stream() {
        simple.file.chain(simple.channel_group, Composer::kChannelOfGroup,
                          simple.file.channel({.byte_offset = 8, .bit_count = 32, .name = simple.file.text("x")}));
    }
    void expect_all(At data) {
        simple.file.set_link(simple.group, Composer::kDataOfData, data);
        const Log log = log_of(simple.file.bytes());
        EXPECT_EQ(lost_of(log), "");
        const Channel& x = channel_of(log, "x");
        ASSERT_EQ(x.values.size(), kRows);
        for (std::size_t i = 0; i < kRows; ++i) {
            ASSERT_EQ(x.values[i], 3.0 * static_cast<double>(i));
            ASSERT_EQ(log.time_bases[0].seconds[i], static_cast<double>(i) / 10.0);
        }
    }
};

// The example of ASAM MDF 4.1, DZ block: 14 bytes, records of 4.
TEST(Mdf4Streams, TurnsTransposedRowsBack) {
    const std::vector<std::uint8_t> turned{1, 5, 9, 2, 6, 10, 3, 7, 11, 4, 8, 12};
    std::vector<std::uint8_t> rows(12);
    turn_back(turned.data(), 3, 4, 0, 3, rows.data());
    for (std::size_t i = 0; i < 12; ++i) EXPECT_EQ(rows[i], i + 1);
    // Squares of eight and what is left beside them.
    for (const std::size_t columns : {1u, 7u, 8u, 13u, 24u})
        for (const std::size_t count : {5u, 8u, 21u}) {
            std::vector<std::uint8_t> plain(columns * count), turned_plain(columns * count), back(columns * count);
            std::iota(plain.begin(), plain.end(), std::uint8_t{0});
            for (std::size_t r = 0; r < count; ++r)
                for (std::size_t c = 0; c < columns; ++c) turned_plain[c * count + r] = plain[r * columns + c];
            turn_back(turned_plain.data(), count, columns, 0, count, back.data());
            EXPECT_EQ(back, plain) << columns << " x " << count;
        }
}

TEST(Mdf4Streams, ListsWhoseBlocksEndWithinRecords) {
    Stream plain;
    Composer& file = plain.simple.file;
    const Raw raw = all_records();
    const At third = file.data("DT", part(raw, 9001, 9999));
    const At last = file.data_list({third}, {9001});
    const At first = file.data("DT", part(raw, 0, 5)), second = file.data("DT", part(raw, 5, 8996));
    plain.expect_all(file.data_list({first, second}, {0, 5}, last));
}

TEST(Mdf4Streams, DeflatedOfBothKindsBehindAHeaderList) {
    Stream deflated;
    Composer& file = deflated.simple.file;
    const Raw raw = all_records();
    const At first = file.deflated("DT", part(raw, 0, 5000)),
             second = file.deflated("DT", part(raw, 5000, 4000), kRecord);
    const At third = file.deflated("DT", part(raw, 9000, 9999), 8);
    deflated.expect_all(file.header_list(file.data_list({first, second, third}, {0, 5000, 9000})));
}

TEST(Mdf4Streams, ABlockThatDoesNotInflateEndsItsGroup) {
    Stream stream;
    Composer& file = stream.simple.file;
    const Raw raw = all_records();
    const At first = file.deflated("DT", part(raw, 0, 1300)), second = file.deflated("DT", part(raw, 1300, 99999));
    file.set(second + 24 + 24 + 40, Raw().u64(0));
    file.set_link(stream.simple.group, Composer::kDataOfData, file.data_list({first, second}, {0, 1300}));
    const Log log = log_of(file.bytes());
    EXPECT_EQ(channel_of(log, "x").values.size(), 100u);
    EXPECT_NE(lost_of(log).find("the data of group 0 are lost from byte "), std::string::npos) << lost_of(log);
}

TEST(Mdf4Streams, ColumnsWithInvalidationApart) {
    // 4.2: a group of the time, and one that takes its time from there, with values and invalidation bytes in lists.
    auto simple = simple_file(4, 8);
    Composer& file = simple.file;
    file.set_link(simple.group, Composer::kDataOfData, file.data("DV", Raw().f64(0).f64(1).f64(2).f64(3)));
    const At group = file.data_group({});
    file.chain(Composer::kHeader, Composer::kFirstGroupOfHeader, group);
    const At channels = file.channel_group(
        {.cycles = 4, .flags = 8, .data_bytes = 2, .invalidation_bytes = 1, .master = simple.channel_group});
    file.chain(group, Composer::kChannelGroupOfData, channels);
    file.chain(channels, Composer::kChannelOfGroup,
               file.channel({.bit_count = 16, .flags = 2, .name = file.text("x")}));
    const At first = file.data("DV", Raw().u16(1).u16(2)), second = file.deflated("DV", Raw().u16(3).u16(4), 2);
    const At list = file.list_of_values({first, second}, 2, {0, file.data("DI", Raw().u8(1).u8(0))});
    file.set_link(group, Composer::kDataOfData, list);
    const Log log = log_of(file.bytes());
    const Channel& x = channel_of(log, "x");
    ASSERT_EQ(x.values.size(), 4u);
    EXPECT_EQ(x.values[1], 2.0);
    EXPECT_TRUE(std::isnan(x.values[2]));
    EXPECT_EQ(x.values[3], 4.0);
    EXPECT_EQ(log.time_bases.size(), 1u);
    EXPECT_EQ(log.time_bases[x.time_base].seconds.back(), 3.0);
    EXPECT_EQ(lost_of(log), "");
}

/// Two groups in one stream, and texts for a channel of the first, as records of the given id width.
Log mixed(unsigned id_bytes, const Identification& identification, std::uint64_t cycles) {
    Composer file(identification);
    const At group = file.data_group({.record_id_bytes = id_bytes});
    file.chain(Composer::kHeader, Composer::kFirstGroupOfHeader, group);
    const At texts = file.channel_group({.record_id = 3, .cycles = cycles, .flags = 1});
    const At with_text = file.channel_group({.record_id = 1, .cycles = cycles, .data_bytes = 16});
    const At numbers = file.channel_group({.record_id = 2, .cycles = 2 * cycles, .data_bytes = 9});
    for (const At each : {with_text, numbers, texts}) file.chain(group, Composer::kChannelGroupOfData, each);
    for (const At each : {with_text, numbers})
        file.chain(each, Composer::kChannelOfGroup,
                   file.channel(
                       {.type = kMaster, .sync = kTime, .data_type = kFloat, .bit_count = 64, .name = file.text("t")}));
    file.chain(with_text, Composer::kChannelOfGroup,
               file.channel({.type = kVlsd,
                             .data_type = kUtf8,
                             .byte_offset = 8,
                             .bit_count = 64,
                             .name = file.text("gear"),
                             .data = texts}));
    file.chain(numbers, Composer::kChannelOfGroup,
               file.channel({.byte_offset = 8, .bit_count = 8, .name = file.text("x")}));
    Raw raw;
    const auto id = [&](unsigned value) { raw.little(value, id_bytes); };
    const char* const words[] = {"N", "first", "N"};
    std::uint64_t offset = 0;
    for (unsigned i = 0; i < 3; ++i) {
        const std::string_view text = words[i];
        id(3), raw.u32(text.size()).chars(text);
        id(1), raw.f64(i).u64(offset);
        offset += 4 + text.size();
        id(2), raw.f64(i).u8(10 * i);
        id(2), raw.f64(i + 0.5).u8(10 * i + 5);
    }
    // In blocks of 7 bytes, so that ids and lengths are cut apart.
    std::vector<At> parts;
    std::vector<std::uint64_t> offsets;
    for (std::size_t from = 0; from < raw.size(); from += 7) {
        parts.push_back(file.data("DT", part(raw, from, 7)));
        offsets.push_back(from);
    }
    file.set_link(group, Composer::kDataOfData, file.data_list(parts, offsets));
    return log_of(file.bytes());
}

TEST(Mdf4Streams, RecordsOfSeveralGroupsInOneStream) {
    for (const unsigned id_bytes : {1u, 2u, 4u, 8u}) {
        SCOPED_TRACE(id_bytes);
        const Log log = mixed(id_bytes, {}, 3);
        EXPECT_EQ(words_of(channel_of(log, "gear")), "N first N");
        EXPECT_EQ(channel_of(log, "gear").texts.size(), 2u);
        EXPECT_EQ(channel_of(log, "x").values, (std::vector<double>{0, 5, 10, 15, 20, 25}));
        EXPECT_EQ(lost_of(log), "");
    }
}

TEST(Mdf4Streams, RecordsOfAnUnfinishedStreamAreCounted) {
    const Log log = mixed(1, {.file = "UnFinMF ", .unfinished_flags = 1}, 0);
    EXPECT_EQ(words_of(channel_of(log, "gear")), "N first N");
    EXPECT_EQ(channel_of(log, "x").values.size(), 6u);
    EXPECT_EQ(lost_of(log),
              "the file was not finished by its logger; it is read as far as it is whole\n"
              "the file was not finished: the records of group 0 are counted from the data\n");
}

TEST(Mdf4Streams, TextsOfSignalData) {
    auto simple = simple_file(3, 16);
    Composer& file = simple.file;
    const Raw texts = Raw().u32(4).u16('o').u16('n').u32(2).u16('x');
    const At data = file.header_list(
        file.data_list({file.data("SD", part(texts, 0, 3)), file.deflated("SD", part(texts, 3, 99))}, {0, 3}));
    file.chain(simple.channel_group, Composer::kChannelOfGroup,
               file.channel({.type = kVlsd,
                             .data_type = kUtf16,
                             .byte_offset = 8,
                             .bit_count = 64,
                             .name = file.text("x"),
                             .data = data}));
    file.set_link(simple.group, Composer::kDataOfData,
                  file.data("DT", Raw().f64(0).u64(8).f64(1).u64(0).f64(2).u64(5)));
    const Log log = log_of(file.bytes());
    EXPECT_EQ(words_of(channel_of(log, "x")), "x on -");
    EXPECT_EQ(lost_of(log), "channel x of group 0: 1 text is not where the record says; no sample there\n");
}

TEST(Mdf4Streams, TextsWhoseLengthAChannelGives) {
    auto simple = simple_file(2, 13);
    Composer& file = simple.file;
    const At length = file.channel({.byte_offset = 8, .bit_count = 8, .name = file.text("length")});
    file.chain(simple.channel_group, Composer::kChannelOfGroup, length);
    file.chain(simple.channel_group, Composer::kChannelOfGroup,
               file.channel({.type = kMlsd,
                             .data_type = kUtf8,
                             .byte_offset = 9,
                             .bit_count = 32,
                             .name = file.text("x"),
                             .data = length}));
    file.set_link(simple.group, Composer::kDataOfData,
                  file.data("DT", Raw().f64(0).u8(2).chars("abcd").f64(1).u8(200).chars("abcd")));
    EXPECT_EQ(words_of(channel_of(log_of(file.bytes()), "x")), "ab abcd");
}

TEST(Mdf4Streams, VirtualChannelsCountRecords) {
    Composer file;
    const At group = file.data_group({});
    file.chain(Composer::kHeader, Composer::kFirstGroupOfHeader, group);
    const At channels = file.channel_group({.cycles = 3, .data_bytes = 1});
    file.chain(group, Composer::kChannelGroupOfData, channels);
    const At tenths = file.conversion({.type = 1, .values = {5, 0.1}});
    file.chain(
        channels, Composer::kChannelOfGroup,
        file.channel(
            {.type = kVirtualMaster, .sync = kTime, .bit_count = 0, .name = file.text("t"), .conversion = tenths}));
    file.chain(channels, Composer::kChannelOfGroup, file.channel({.bit_count = 8, .name = file.text("x")}));
    file.set_link(group, Composer::kDataOfData, file.data("DT", Raw().u8(7).u8(8).u8(9)));
    const Log log = log_of(file.bytes());
    EXPECT_EQ(log.time_bases[0].seconds, (std::vector<double>{5.0, 5.0 + 0.1 * 1, 5.0 + 0.1 * 2}));
    EXPECT_EQ(channel_of(log, "x").values, (std::vector<double>{7, 8, 9}));
}

}  // namespace
}  // namespace revwright::mdf4
