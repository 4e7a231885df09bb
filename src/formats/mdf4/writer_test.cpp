#include "formats/mdf4/writer.h"

#include <bit>
#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <string>

namespace revwright::mdf4 {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

Channel channel_of(std::string name, std::string unit, std::vector<double> values) {
    Channel channel;
    channel.name = std::move(name);
    channel.unit = std::move(unit);
    channel.values = std::move(values);
    return channel;
}

/// Two channels of numbers, one of which lacks a sample, and one of words, all on one clock.
Log small_log() {
    Log log;
    log.time_bases = {{{0.0, 0.1, 0.2}}};
    log.channels = {channel_of("speed", "rpm", {1000.0, 1500.5, 2000.0}), channel_of("boost", "kPa", {0.1, kNone, 0.3}),
                    channel_of("state", "", {0.0, 1.0, kNone})};
    log.channels[2].texts = {"idle", "pull"};
    return log;
}

/// The file's own numbers, by place. It shares nothing with the reader or the writer.
struct Fields {
    std::vector<std::uint8_t> bytes;
    std::uint64_t at(std::uint64_t place, std::size_t size) const {
        std::uint64_t value = 0;
        for (std::size_t i = size; i-- > 0;) value = value << 8 | bytes.at(place + i);
        return value;
    }
    double real(std::uint64_t place) const { return std::bit_cast<double>(at(place, 8)); }
    std::string chars(std::uint64_t place, std::size_t size) const {
        return {bytes.begin() + static_cast<std::ptrdiff_t>(place),
                bytes.begin() + static_cast<std::ptrdiff_t>(place + size)};
    }
    std::uint64_t link(std::uint64_t block, std::size_t index) const { return at(block + 24 + 8 * index, 8); }
    std::string text(std::uint64_t block) const {
        EXPECT_EQ(chars(block, 4), "##TX");
        return reinterpret_cast<const char*>(bytes.data() + block + 24);
    }
};

/// Every block of the file is where a link says, begins at a multiple of 8 and has the length its kind must have.
void expect_block(const Fields& file, std::uint64_t at, const std::string& id, std::uint64_t length,
                  std::uint64_t links) {
    EXPECT_EQ(at % 8, 0U) << id;
    EXPECT_EQ(file.chars(at, 4), "##" + id);
    EXPECT_EQ(file.at(at + 4, 4), 0U) << id;
    EXPECT_EQ(file.at(at + 8, 8), length) << id;
    EXPECT_EQ(file.at(at + 16, 8), links) << id;
}

struct Field {
    std::uint64_t offset;  // from the begin of the block
    std::size_t size;
    std::uint64_t expected;
    const char* what;
};

void expect_fields(const Fields& file, std::uint64_t block, const std::vector<Field>& fields) {
    for (const Field& field : fields)
        EXPECT_EQ(file.at(block + field.offset, field.size), field.expected) << field.what;
}

// Lengths, links and offsets of all tests here: ASAM MDF 4.1 associated standard, as CHECKS records them from an
// open-source implementation (mdflib 5ad85af2); offsets inside a block are sums of its field sizes.
TEST(Mdf4Writer, identification_and_header_follow_the_field_table) {
    const Fields file{write(small_log(), {.deflate = false, .start_time_ns = 1'700'000'000'000'000'000})};
    EXPECT_EQ(file.chars(0, 8), "MDF     ");
    EXPECT_EQ(file.chars(8, 8), "4.10    ");
    expect_fields(file, 0, {{28, 2, 410, "id_ver"}, {60, 2, 0, "unfinished"}, {62, 2, 0, "unfinished, custom"}});
    expect_block(file, 64, "HD", 104, 6);
    expect_fields(file, 64,
                  {{40, 8, 0, "hd_ch_first"},
                   {48, 8, 0, "hd_at_first"},
                   {56, 8, 0, "hd_ev_first"},
                   {64, 8, 0, "hd_md_comment"},
                   {72, 8, 1'700'000'000'000'000'000, "hd_start_time_ns"},
                   {80, 2, 0, "hd_tz_offset_min"},
                   {82, 2, 0, "hd_dst_offset_min"},
                   {84, 1, 0, "hd_time_flags"},
                   {85, 1, 0, "hd_time_class"},
                   {86, 1, 0, "hd_flags"}});
    const std::uint64_t history = file.link(64, 1);
    expect_block(file, history, "FH", 56, 2);
    EXPECT_EQ(file.link(history, 0), 0U);
    EXPECT_EQ(file.chars(file.link(history, 1), 4), "##MD");
    EXPECT_EQ(file.at(history + 40, 8), 1'700'000'000'000'000'000U);
}

TEST(Mdf4Writer, groups_follow_the_field_table) {
    const Fields file{write(small_log())};
    const std::uint64_t data_group = file.link(64, 0);
    expect_block(file, data_group, "DG", 64, 4);
    EXPECT_EQ(file.link(data_group, 0), 0U);
    EXPECT_EQ(file.at(data_group + 56, 1), 0U) << "dg_rec_id_size: sorted";
    const std::uint64_t group = file.link(data_group, 1);
    expect_block(file, group, "CG", 104, 6);
    // f64 time, f32 speed, f64 boost, u8 state; two invalidation bits in one byte
    expect_fields(file, group,
                  {{24, 8, 0, "cg_cg_next"},
                   {72, 8, 0, "cg_record_id"},
                   {80, 8, 3, "cg_cycle_count"},
                   {88, 2, 0, "cg_flags"},
                   {96, 4, 8 + 4 + 8 + 1, "cg_data_bytes"},
                   {100, 4, 1, "cg_inval_bytes"}});
    const std::uint64_t records = file.link(data_group, 2);
    expect_block(file, records, "DT", 24 + 3 * 22, 0);
    EXPECT_EQ(file.real(records + 24 + 22), 0.1);
    EXPECT_EQ(file.at(records + 24 + 22 + 8, 4), 0x44BB9000U) << "1500.5 as IEEE 754 single";
    EXPECT_EQ(file.real(records + 24 + 12), 0.1) << "a number no single holds";
    EXPECT_EQ(file.at(records + 24 + 0 * 22 + 21, 1), 0U);
    EXPECT_EQ(file.at(records + 24 + 1 * 22 + 21, 1), 1U) << "boost lacks its second sample";
    EXPECT_EQ(file.at(records + 24 + 2 * 22 + 21, 1), 2U) << "state lacks its third";
}

TEST(Mdf4Writer, channels_follow_the_field_table) {
    const Fields file{write(small_log())};
    struct Row {
        const char *name, *unit;
        std::uint64_t type, sync, data_type, byte_offset, bits, flags, invalidation_bit;
    };
    std::uint64_t channel = file.link(file.link(file.link(64, 0), 1), 1);
    for (const Row& row : {Row{"time", "s", 2, 1, 4, 0, 64, 0, 0}, Row{"speed", "rpm", 0, 0, 4, 8, 32, 0, 0},
                           Row{"boost", "kPa", 0, 0, 4, 12, 64, 2, 0}, Row{"state", "", 0, 0, 0, 20, 8, 2, 1}}) {
        expect_block(file, channel, "CN", 160, 8);
        EXPECT_EQ(file.text(file.link(channel, 2)), row.name);
        const std::uint64_t unit = file.link(channel, 6);
        EXPECT_EQ(unit == 0 ? "" : file.text(unit), row.unit);
        expect_fields(file, channel,
                      {{88, 1, row.type, "cn_type"},
                       {89, 1, row.sync, "cn_sync_type"},
                       {90, 1, row.data_type, "cn_data_type"},
                       {91, 1, 0, "cn_bit_offset"},
                       {92, 4, row.byte_offset, "cn_byte_offset"},
                       {96, 4, row.bits, "cn_bit_count"},
                       {100, 4, row.flags, "cn_flags"},
                       {104, 4, row.invalidation_bit, "cn_inval_bit_pos"},
                       {110, 2, 0, "cn_attachment_count"}});
        if (row.name != std::string("state")) channel = file.link(channel, 0);
    }
    EXPECT_EQ(file.link(channel, 0), 0U) << "the last channel";
    const std::uint64_t words = file.link(channel, 4);
    expect_block(file, words, "CC", 24 + 8 * (4 + 3) + 24 + 8 * 2, 7);
    const std::uint64_t behind_links = 24 + 8 * 7;
    expect_fields(file, words,
                  {{behind_links, 1, 7, "cc_type: value to text"},
                   {behind_links + 4, 2, 3, "cc_ref_count"},
                   {behind_links + 6, 2, 2, "cc_val_count"},
                   {behind_links + 32, 8, 0x3FF0000000000000, "key 1.0"},
                   {24 + 8 * 6, 8, 0, "no default"}});
    EXPECT_EQ(file.text(file.link(words, 4)), "idle");
    EXPECT_EQ(file.text(file.link(words, 5)), "pull");
}

TEST(Mdf4Writer, deflated_records_stand_in_lists_of_transposed_blocks) {
    Log log;
    const std::size_t rows = 600'000;  // of 12 bytes: two blocks of at most 4 MiB
    log.time_bases.resize(1);
    log.channels = {channel_of("speed", "rpm", std::vector<double>(rows, 900.0))};
    for (std::size_t i = 0; i < rows; ++i) log.time_bases[0].seconds.push_back(static_cast<double>(i));
    const Fields file{write(log, {.deflate = true})};
    const std::uint64_t header = file.link(file.link(64, 0), 2);
    expect_block(file, header, "HL", 40, 1);
    expect_fields(file, header, {{32, 2, 1, "hl_flags: equal length"}, {34, 1, 1, "hl_zip_type: transposed"}});
    const std::uint64_t list = file.link(header, 0);
    expect_block(file, list, "DL", 24 + 8 * 3 + 8 + 8, 3);
    const std::uint64_t whole = (std::uint64_t{4} << 20) / 12 * 12;
    expect_fields(
        file, list,
        {{24, 8, 0, "dl_dl_next"}, {48, 1, 1, "dl_flags"}, {52, 4, 2, "dl_count"}, {56, 8, whole, "dl_equal_length"}});
    const std::uint64_t last = file.link(list, 2);
    const std::uint64_t packed = file.at(last + 40, 8);
    expect_block(file, last, "DZ", 48 + packed, 0);
    EXPECT_EQ(file.chars(last + 24, 2), "DT");
    expect_fields(
        file, last,
        {{26, 1, 1, "dz_zip_type"}, {28, 4, 12, "dz_zip_parameter"}, {32, 8, rows * 12 - whole, "dz_org_data_length"}});
    EXPECT_LT(file.bytes.size(), rows) << "of 7.2 MB";
}

TEST(Mdf4Writer, the_same_log_gives_the_same_bytes) {
    EXPECT_EQ(write(small_log(), {.deflate = true}), write(small_log(), {.deflate = true}));
    EXPECT_EQ(write(small_log()), write(small_log()));
}

TEST(Mdf4Writer, a_canonical_channel_has_its_canonical_name) {
    Log log = small_log();
    log.channels[0].key = ChannelKey{Signal::engine_speed_rpm, 0};
    const Fields file{write(log)};
    const std::uint64_t master = file.link(file.link(file.link(64, 0), 1), 1);
    EXPECT_EQ(file.text(file.link(file.link(master, 0), 2)), "engine_speed_rpm");
}

TEST(Mdf4Writer, an_empty_log_is_a_file_without_groups) {
    const Fields file{write(Log{})};
    expect_block(file, 64, "HD", 104, 6);
    EXPECT_EQ(file.link(64, 0), 0U);
}

}  // namespace
}  // namespace revwright::mdf4
