#include "formats/mdf4/test_blocks.h"

#include <bit>
#include <libdeflate.h>
#include <memory>

namespace revwright::mdf4::blocks {
namespace {

constexpr At kHead = 24;  // id, reserved, length, link count

Raw transposed(std::span<const std::uint8_t> bytes, std::size_t columns) {
    Raw out;
    const std::size_t rows = bytes.size() / columns;
    for (std::size_t column = 0; column < columns; ++column)
        for (std::size_t row = 0; row < rows; ++row) out.u8(bytes[row * columns + column]);
    out.raw(bytes.subspan(rows * columns));  // what is left of a row stays as it is
    return out;
}

std::vector<std::uint8_t> squeezed(std::span<const std::uint8_t> bytes) {
    const std::unique_ptr<libdeflate_compressor, decltype(&libdeflate_free_compressor)> compressor(
        libdeflate_alloc_compressor(6), &libdeflate_free_compressor);
    std::vector<std::uint8_t> out(libdeflate_zlib_compress_bound(compressor.get(), bytes.size()));
    out.resize(libdeflate_zlib_compress(compressor.get(), bytes.data(), bytes.size(), out.data(), out.size()));
    return out;
}

}  // namespace

Raw& Raw::f32(float value) { return u32(std::bit_cast<std::uint32_t>(value)); }
Raw& Raw::f64(double value) { return u64(std::bit_cast<std::uint64_t>(value)); }

Raw& Raw::little(std::uint64_t value, std::size_t bytes) {
    for (std::size_t i = 0; i < bytes; ++i) bytes_.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
    return *this;
}

Raw& Raw::big(std::uint64_t value, std::size_t bytes) {
    for (std::size_t i = bytes; i-- > 0;) bytes_.push_back(static_cast<std::uint8_t>(value >> (8 * i)));
    return *this;
}

Raw& Raw::chars(std::string_view text) {
    bytes_.insert(bytes_.end(), text.begin(), text.end());
    return *this;
}

Raw& Raw::zeros(std::size_t count) {
    bytes_.insert(bytes_.end(), count, 0);
    return *this;
}

Raw& Raw::raw(std::span<const std::uint8_t> more) {
    bytes_.insert(bytes_.end(), more.begin(), more.end());
    return *this;
}

Composer::Composer(const Identification& id, std::uint64_t start_time_ns) {
    Raw head;
    head.chars(id.file).chars(id.version).chars(id.program).zeros(4).u16(id.version_number).zeros(30);
    head.u16(id.unfinished_flags).u16(id.custom_flags);
    bytes_.assign(head.bytes().begin(), head.bytes().end());
    block("HD", {0, 0, 0, 0, 0, 0}, Raw().u64(start_time_ns).zeros(24));
}

At Composer::block(std::string_view id, const std::vector<At>& links, const Raw& data) {
    bytes_.resize((bytes_.size() + 7) / 8 * 8);
    const At at = bytes_.size();
    Raw raw;
    raw.chars("##").chars(id).zeros(4).u64(kHead + 8 * links.size() + data.size()).u64(links.size());
    for (const At link : links) raw.u64(link);
    raw.raw(data.bytes());
    bytes_.insert(bytes_.end(), raw.bytes().begin(), raw.bytes().end());
    return at;
}

At Composer::text(std::string_view text, std::string_view id) {
    Raw data;
    data.chars(text).zeros(8 - text.size() % 8);  // one zero at least, and a whole number of eights
    return block(id, {}, data);
}

At Composer::data_group(const DataGroup& group) {
    return block("DG", {0, 0, group.data, group.comment}, Raw().u8(group.record_id_bytes).zeros(7));
}

At Composer::channel_group(const ChannelGroup& group) {
    std::vector<At> links{0, 0, group.name, group.source, 0, group.comment};
    if ((group.flags & 8U) != 0) links.push_back(group.master);
    Raw data;
    data.u64(group.record_id).u64(group.cycles).u16(group.flags).u16(0).zeros(4);
    data.u32(group.data_bytes).u32(group.invalidation_bytes);
    return block("CG", links, data);
}

At Composer::channel(const ChannelBlock& c) {
    Raw data;
    data.u8(c.type).u8(c.sync).u8(c.data_type).u8(c.bit_offset).u32(c.byte_offset).u32(c.bit_count);
    data.u32(c.flags).u32(c.invalidation_bit).zeros(4).zeros(6 * 8);
    return block("CN", {0, c.composition, c.name, c.source, c.conversion, c.data, c.unit, c.comment}, data);
}

At Composer::conversion(const Conversion& c) {
    std::vector<At> links{c.name, c.unit, 0, 0};
    links.insert(links.end(), c.refs.begin(), c.refs.end());
    const std::size_t values = c.raw_values.empty() ? c.values.size() : c.raw_values.size();
    Raw data;
    data.u8(c.type).u8(0).u16(c.flags).u16(static_cast<unsigned>(c.refs.size())).u16(static_cast<unsigned>(values));
    data.zeros(2 * 8);
    for (const std::uint64_t value : c.raw_values) data.u64(value);
    if (c.raw_values.empty())
        for (const double value : c.values) data.f64(value);
    return block("CC", links, data);
}

At Composer::source(At name, unsigned type, unsigned bus) {
    return block("SI", {name, 0, 0}, Raw().u8(type).u8(bus).zeros(6));
}

At Composer::deflated(std::string_view original_id, const Raw& bytes, std::uint32_t columns) {
    const std::vector<std::uint8_t> small =
        columns > 0 ? squeezed(transposed(bytes.bytes(), columns).bytes()) : squeezed(bytes.bytes());
    Raw data;
    data.chars(original_id).u8(columns > 0 ? 1 : 0).u8(0).u32(columns).u64(bytes.size()).u64(small.size()).raw(small);
    return block("DZ", {}, data);
}

At Composer::data_list(const std::vector<At>& parts, const std::vector<std::uint64_t>& offsets, At next) {
    std::vector<At> links{next};
    links.insert(links.end(), parts.begin(), parts.end());
    Raw data;
    data.u8(0).zeros(3).u32(parts.size());
    for (const std::uint64_t offset : offsets) data.u64(offset);
    return block("DL", links, data);
}

At Composer::data_list_equal(const std::vector<At>& parts, std::uint64_t equal_length, At next) {
    std::vector<At> links{next};
    links.insert(links.end(), parts.begin(), parts.end());
    return block("DL", links, Raw().u8(1).zeros(3).u32(parts.size()).u64(equal_length));
}

At Composer::header_list(At first, unsigned zip_type) {
    return block("HL", {first}, Raw().u16(1).u8(zip_type).zeros(5));
}

At Composer::list_of_values(const std::vector<At>& values, std::uint64_t equal_samples,
                            const std::vector<At>& invalid) {
    std::vector<At> links{0};
    links.insert(links.end(), values.begin(), values.end());
    links.insert(links.end(), invalid.begin(), invalid.end());
    const std::uint64_t flags = 1U | (invalid.empty() ? 0U : 0x80000000U);
    return block("LD", links, Raw().u32(flags).u32(values.size()).u64(equal_samples));
}

void Composer::set_link(At owner, std::size_t index, At target) { set(owner + kHead + 8 * index, Raw().u64(target)); }

At Composer::link(At owner, std::size_t index) const {
    At value = 0;
    for (std::size_t i = 8; i-- > 0;) value = value << 8 | bytes_.at(owner + kHead + 8 * index + i);
    return value;
}

void Composer::chain(At owner, std::size_t index, At member) {
    while (link(owner, index) != 0) {
        owner = link(owner, index);
        index = 0;
    }
    set_link(owner, index, member);
}

void Composer::set(At at, const Raw& bytes) {
    for (std::size_t i = 0; i < bytes.size(); ++i) bytes_.at(at + i) = bytes.bytes()[i];
}

SimpleFile simple_file(std::uint64_t cycles, std::uint32_t data_bytes, std::uint32_t invalidation_bytes,
                       const Identification& identification) {
    SimpleFile simple{.file = Composer(identification)};
    Composer& file = simple.file;
    simple.group = file.data_group({});
    file.chain(Composer::kHeader, Composer::kFirstGroupOfHeader, simple.group);
    simple.channel_group =
        file.channel_group({.cycles = cycles, .data_bytes = data_bytes, .invalidation_bytes = invalidation_bytes});
    file.chain(simple.group, Composer::kChannelGroupOfData, simple.channel_group);
    const At name = file.text("t"), unit = file.text("s");
    file.chain(simple.channel_group, Composer::kChannelOfGroup,
               file.channel(
                   {.type = kMaster, .sync = kTime, .data_type = kFloat, .bit_count = 64, .name = name, .unit = unit}));
    return simple;
}

}  // namespace revwright::mdf4::blocks
