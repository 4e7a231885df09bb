#include "formats/mdf4/test_seeds.h"

#include <utility>

#include "formats/mdf4/test_blocks.h"

namespace revwright::mdf4::blocks {
namespace {

constexpr unsigned kRows = 6;

double second(unsigned row) { return 0.1 * row; }

/// A time and an engine speed in quarter rpm (u16) in each record.
Raw speed_records(unsigned rows = kRows) {
    Raw records;
    for (unsigned row = 0; row < rows; ++row) records.f64(second(row)).u16(4 * (900 + 150 * row));
    return records;
}

void add_channel(SimpleFile& simple, const ChannelBlock& channel) {
    simple.file.chain(simple.channel_group, Composer::kChannelOfGroup, simple.file.channel(channel));
}

void add_speed(SimpleFile& simple) {
    Composer& file = simple.file;
    const At quarter = file.conversion({.type = 1, .values = {0.0, 0.25}});
    const At name = file.text("engine speed"), unit = file.text("rpm");
    add_channel(simple, {.byte_offset = 8, .bit_count = 16, .name = name, .unit = unit, .conversion = quarter});
}

SimpleFile speed_file(const Identification& identification = {}, std::uint64_t cycles = kRows) {
    SimpleFile simple = simple_file(cycles, 10, 0, identification);
    add_speed(simple);
    return simple;
}

/// The file with these records: where they are is given in the end.
Seed with_data(std::string name, SimpleFile simple, At data) {
    simple.file.set_link(simple.group, Composer::kDataOfData, data);
    return {std::move(name), simple.file.bytes()};
}

Seed sorted() {
    SimpleFile simple = speed_file();
    const At data = simple.file.data("DT", speed_records());
    return with_data("sorted", std::move(simple), data);
}

Seed deflated(bool transposed) {
    SimpleFile simple = speed_file({}, 40);
    const At part = simple.file.deflated("DT", speed_records(40), transposed ? 10 : 0);
    const At list = simple.file.data_list_equal({part}, 400);
    const At data = simple.file.header_list(list, transposed ? 1 : 0);
    return with_data(transposed ? "deflate_transposed" : "deflate", std::move(simple), data);
}

/// Records cut across blocks, in two lists, the parts of unequal length.
Seed listed() {
    SimpleFile simple = speed_file();
    const auto bytes = speed_records();
    const auto all = bytes.bytes();
    Composer& file = simple.file;
    const At a = file.data("DT", Raw().raw(all.first(13))), b = file.data("DT", Raw().raw(all.subspan(13, 20)));
    const At c = file.data("DT", Raw().raw(all.subspan(33)));
    const At second_list = file.data_list({c}, {33});
    return with_data("listed", std::move(simple), file.data_list({a, b}, {0, 13}, second_list));
}

/// DV and DI in an LD of version 4.2.
Seed values_listed() {
    Identification id{.version = "4.20    ", .version_number = 420};
    SimpleFile simple = simple_file(kRows, 10, 1, id);
    Composer& file = simple.file;
    const At name = file.text("engine speed"), unit = file.text("rpm");
    add_channel(simple,
                {.byte_offset = 8, .bit_count = 16, .flags = 2, .invalidation_bit = 3, .name = name, .unit = unit});
    const At values = file.data("DV", speed_records());
    const At invalid = file.data("DI", Raw().u8(0).u8(8).u8(0).u8(0xF7).u8(0xFF).u8(0));
    return with_data("values_listed", std::move(simple), file.list_of_values({values}, kRows, {invalid}));
}

/// Two rates and the texts of a VLSD channel in one stream of records.
Seed unsorted(const char* name = "unsorted", const Identification& identification = {}, bool counted = true) {
    Composer file(identification);
    const At group = file.data_group({.record_id_bytes = 1});
    file.chain(Composer::kHeader, Composer::kFirstGroupOfHeader, group);
    const At time = file.text("t"), seconds = file.text("s");
    const auto master = [&] {
        return file.channel(
            {.type = kMaster, .sync = kTime, .data_type = kFloat, .bit_count = 64, .name = time, .unit = seconds});
    };
    const At fast = file.channel_group({.record_id = 1, .cycles = counted ? kRows : 0U, .data_bytes = 10});
    file.chain(group, Composer::kChannelGroupOfData, fast);
    file.chain(fast, Composer::kChannelOfGroup, master());
    file.chain(fast, Composer::kChannelOfGroup,
               file.channel({.data_type = kUnsignedBig,
                             .byte_offset = 8,
                             .bit_count = 16,
                             .name = file.text("n"),
                             .unit = file.text("1/min")}));
    const At slow = file.channel_group({.record_id = 2, .cycles = counted ? 2U : 0U, .data_bytes = 16});
    file.chain(group, Composer::kChannelGroupOfData, slow);
    file.chain(slow, Composer::kChannelOfGroup, master());
    const At texts = file.channel_group({.record_id = 3, .cycles = counted ? 2U : 0U, .flags = 1, .data_bytes = 9});
    file.chain(group, Composer::kChannelGroupOfData, texts);
    file.chain(slow, Composer::kChannelOfGroup,
               file.channel({.type = kVlsd,
                             .data_type = kUtf8,
                             .byte_offset = 8,
                             .bit_count = 64,
                             .name = file.text("remark"),
                             .data = texts}));
    Raw records;
    for (unsigned row = 0; row < kRows; ++row) {
        records.u8(1).f64(second(row)).big(1000 + 100 * row, 2);
        if (row % 4 != 0) continue;
        records.u8(3).u32(5).chars(row == 0 ? "idle" : "pull").u8(0);
        records.u8(2).f64(second(row)).u64(row == 0 ? 0 : 9);
    }
    file.set_link(group, Composer::kDataOfData, file.data("DT", records));
    return {name, file.bytes()};
}

/// VLSD with a signal data block of its own, and texts of fixed length in the kinds of letters there are.
Seed texts() {
    SimpleFile simple = simple_file(3, 8 + 8 + 4 + 4 + 4);
    Composer& file = simple.file;
    const At sd =
        file.data("SD", Raw().u32(5).chars("warm").u8(0).u32(4).chars("hot").u8(0).u32(5).chars("warm").u8(0));
    add_channel(
        simple,
        {.type = kVlsd, .data_type = kUtf8, .byte_offset = 8, .bit_count = 64, .name = file.text("state"), .data = sd});
    add_channel(simple, {.data_type = kLatin1, .byte_offset = 16, .bit_count = 32, .name = file.text("latin")});
    add_channel(simple, {.data_type = kUtf16, .byte_offset = 20, .bit_count = 32, .name = file.text("wide")});
    add_channel(simple, {.data_type = kUtf16Big, .byte_offset = 24, .bit_count = 32, .name = file.text("wide big")});
    Raw records;
    for (unsigned row = 0; row < 3; ++row) {
        const unsigned offsets[] = {0, 9, 17};
        records.f64(second(row))
            .u64(offsets[row])
            .chars(row == 1 ? "\xB0"
                              "C\0\0"
                            : "rpm")
            .zeros(row == 1 ? 2 : 1);
        records.u16('o').u16(row == 2 ? 0xE9 : 'n').big('o', 2).big(0xE9, 2);
    }
    const At data = file.data("DT", records);
    return with_data("texts", std::move(simple), data);
}

/// A text of changing length inside the record, with its length in another channel.
Seed text_with_length() {
    SimpleFile simple = simple_file(2, 8 + 1 + 6);
    Composer& file = simple.file;
    const At length = file.channel({.byte_offset = 8, .name = file.text("length")});
    file.chain(simple.channel_group, Composer::kChannelOfGroup, length);
    add_channel(simple, {.type = kMlsd,
                         .data_type = kUtf8,
                         .byte_offset = 9,
                         .bit_count = 48,
                         .name = file.text("word"),
                         .data = length});
    const At data = file.data("DT", Raw().f64(0.0).u8(4).chars("idle--").f64(0.5).u8(6).chars("driven"));
    return with_data("text_with_length", std::move(simple), data);
}

/// Every kind of number, bits inside bytes, both orders.
Seed numbers() {
    SimpleFile simple = simple_file(2, 48);
    Composer& file = simple.file;
    const auto add = [&](const char* name, unsigned type, std::uint32_t at, std::uint32_t bits, unsigned offset = 0) {
        add_channel(
            simple,
            {.data_type = type, .bit_offset = offset, .byte_offset = at, .bit_count = bits, .name = file.text(name)});
    };
    add("bits", kUnsigned, 8, 5, 3);
    add("bits across", kSigned, 8, 13, 5);
    add("i8", kSigned, 11, 8);
    add("i16 big", kSignedBig, 12, 16);
    add("u32", kUnsigned, 14, 32);
    add("i64 big", kSignedBig, 18, 64);
    add("f16", kFloat, 26, 16);
    add("f32 big", kFloatBig, 28, 32);
    add("f64 big", kFloatBig, 32, 64);
    add("date", kCanopenDate, 40, 56);
    Raw records;
    for (unsigned row = 0; row < 2; ++row)
        records.f64(second(row))
            .u8(0xA8)
            .u8(0x5A)
            .u8(3)
            .u8(200)
            .big(0xFF38, 2)
            .u32(4'000'000'000U)
            .big(0xFFFFFFFFFFFFFFF6, 8)
            .u16(0x3AE1)
            .big(0x416B3333, 4)
            .big(0x402D666666666666, 8)
            .u8(0x10)
            .u8(0x27)
            .u8(30)
            .u8(14)
            .u8(0x4B)
            .u8(11)
            .u8(26)
            .u8(0);
    const At data = file.data("DT", records);
    return with_data("numbers", std::move(simple), data);
}

Seed conversions() {
    SimpleFile simple = simple_file(4, 9);
    Composer& file = simple.file;
    const At one = file.text("one"), many = file.text("many"), none = file.text("other");
    const At factor = file.conversion({.type = 1, .values = {-40.0, 0.75}});
    const At formula = file.text("2*X+1");
    const auto add = [&](const char* name, const Conversion& conversion) {
        const At converted = file.conversion(conversion);
        add_channel(simple, {.byte_offset = 8, .name = file.text(name), .conversion = converted});
    };
    add("one to one", {.type = 0});
    add("linear", {.type = 1, .values = {-40.0, 0.75}});
    add("rational", {.type = 2, .values = {0.0, 2.0, 1.0, 0.0, 0.5, 1.0}});
    add("formula", {.type = 3, .refs = {formula}});
    add("table", {.type = 4, .values = {0.0, 0.0, 10.0, 100.0, 20.0, 150.0}});
    add("steps", {.type = 5, .values = {0.0, 0.0, 10.0, 100.0, 20.0, 150.0}});
    add("ranges", {.type = 6, .values = {0.0, 9.0, 1.0, 10.0, 19.0, 2.0, -1.0}});
    add("words", {.type = 7, .values = {0.0, 15.0}, .refs = {none, one, factor}});
    add("word ranges", {.type = 8, .values = {0.0, 9.0, 10.0, 99.0}, .refs = {one, many, none}});
    const At flag = file.conversion({.type = 7, .values = {0.0, 1.0}, .refs = {none, one, many}});
    add("bit words", {.type = 11, .refs = {flag}, .raw_values = {1}});
    const At text_value = file.conversion({.type = 9, .values = {1.0, 2.0}, .refs = {one}});
    const At text_text = file.conversion({.type = 10, .refs = {one, many, none}});
    for (const At conversion : {text_value, text_text})
        add_channel(simple, {.data_type = kLatin1, .byte_offset = 8, .name = none, .conversion = conversion});
    Raw records;
    for (unsigned row = 0; row < 4; ++row) records.f64(second(row)).u8(5 * row);
    const At data = file.data("DT", records);
    return with_data("conversions", std::move(simple), data);
}

Seed invalid_samples() {
    SimpleFile simple = simple_file(3, 10, 1);
    Composer& file = simple.file;
    add_channel(simple, {.byte_offset = 8, .flags = 2, .invalidation_bit = 1, .name = file.text("a")});
    add_channel(simple, {.byte_offset = 9, .flags = 1, .name = file.text("never valid")});
    Raw records;
    for (unsigned row = 0; row < 3; ++row) records.f64(second(row)).u8(row).u8(row).u8(row == 1 ? 2 : 0);
    const At data = file.data("DT", records);
    return with_data("invalid_samples", std::move(simple), data);
}

/// The time is the number of the record, converted; another channel is that number itself.
Seed virtual_master() {
    Composer file;
    const At group = file.data_group({});
    file.chain(Composer::kHeader, Composer::kFirstGroupOfHeader, group);
    const At channels = file.channel_group({.cycles = 5, .data_bytes = 1});
    file.chain(group, Composer::kChannelGroupOfData, channels);
    const At tenth = file.conversion({.type = 1, .values = {2.0, 0.1}});
    file.chain(channels, Composer::kChannelOfGroup,
               file.channel({.type = kVirtualMaster,
                             .sync = kTime,
                             .bit_count = 0,
                             .name = file.text("t"),
                             .unit = file.text("s"),
                             .conversion = tenth}));
    file.chain(channels, Composer::kChannelOfGroup,
               file.channel({.type = kVirtualData, .bit_count = 0, .name = file.text("row")}));
    file.chain(channels, Composer::kChannelOfGroup, file.channel({.name = file.text("gear")}));
    file.set_link(group, Composer::kDataOfData, file.data("DT", Raw().u8(1).u8(1).u8(2).u8(2).u8(3)));
    return {"virtual_master", file.bytes()};
}

/// A structure of two parts, each a channel of its own.
Seed structure() {
    SimpleFile simple = simple_file(2, 10);
    Composer& file = simple.file;
    const At left = file.channel({.byte_offset = 8, .name = file.text("left")});
    file.set_link(left, 0, file.channel({.byte_offset = 9, .name = file.text("right")}));
    add_channel(
        simple,
        {.data_type = kBytes, .byte_offset = 8, .bit_count = 16, .name = file.text("probe"), .composition = left});
    const At data = file.data("DT", Raw().f64(0.0).u8(1).u8(2).f64(0.1).u8(3).u8(4));
    return with_data("structure", std::move(simple), data);
}

/// Not finished: no cycles are counted, and the length of the last DT block is that of its head.
Seed unfinished() {
    SimpleFile simple = speed_file({.file = "UnFinMF ", .unfinished_flags = 1 | 4}, 0);
    const At data = simple.file.data("DT", speed_records());
    simple.file.set(data + 8, Raw().u64(24));
    simple.file.cut(simple.file.size() - 3);  // in the middle of a record
    return with_data("unfinished", std::move(simple), data);
}

Seed wrong(std::string name, std::vector<std::uint8_t> bytes, bool is_readable = false) {
    return {std::move(name), std::move(bytes), is_readable};
}

/// Links that lead out of the file, in a circle, to another kind of block and into the middle of one.
std::vector<Seed> wrong_links() {
    std::vector<Seed> seeds;
    const auto add = [&](const char* name, auto&& spoil) {
        SimpleFile simple = speed_file();
        const At data = simple.file.data("DT", speed_records());
        simple.file.set_link(simple.group, Composer::kDataOfData, data);
        spoil(simple, data);
        seeds.push_back(wrong(name, simple.file.bytes()));
    };
    add("link_out_of_file", [](SimpleFile& s, At) { s.file.set_link(s.group, Composer::kDataOfData, 1U << 30U); });
    add("link_in_a_circle", [](SimpleFile& s, At) { s.file.set_link(s.group, 0, s.group); });
    add("link_to_another_kind", [](SimpleFile& s, At data) { s.file.set_link(s.group, 1, data); });
    add("link_into_a_block", [](SimpleFile& s, At data) { s.file.set_link(s.group, 2, data + 8); });
    add("length_past_the_end", [](SimpleFile& s, At data) { s.file.set(data + 8, Raw().u64(1ULL << 60U)); });
    return seeds;
}

/// Deflated data that claims to be far more than it is.
Seed deflate_bomb() {
    SimpleFile simple = speed_file({}, std::uint64_t{1} << 40U);
    const At part = simple.file.deflated("DT", speed_records(40));
    simple.file.set(part + 32, Raw().u64(std::uint64_t{1} << 42U));
    return with_data("deflate_bomb", std::move(simple), part);
}

Seed cut_short() {
    SimpleFile simple = speed_file();
    const At data = simple.file.data("DT", speed_records());
    simple.file.set_link(simple.group, Composer::kDataOfData, data);
    simple.file.cut(simple.group + 30);
    return wrong("cut_short", simple.file.bytes());
}

}  // namespace

std::vector<Seed> all_seeds() {
    std::vector<Seed> seeds{sorted(),          deflated(false),  deflated(true), listed(),      values_listed(),
                            unsorted(),        texts(),          numbers(),      conversions(), text_with_length(),
                            invalid_samples(), virtual_master(), structure(),    unfinished()};
    seeds.push_back(unsorted("unsorted_unfinished", {.file = "UnFinMF ", .unfinished_flags = 1 | 32}, false));
    for (Seed& seed : wrong_links()) seeds.push_back(std::move(seed));
    Seed bomb = deflate_bomb();
    bomb.is_readable = false;
    seeds.push_back(std::move(bomb));
    seeds.push_back(cut_short());
    return seeds;
}

}  // namespace revwright::mdf4::blocks
