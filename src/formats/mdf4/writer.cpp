#include "formats/mdf4/writer.h"

#include <algorithm>
#include <libdeflate.h>
#include <memory>
#include <span>

#include "formats/mdf4/block_writer.h"
#include "formats/mdf4/written_records.h"

namespace revwright::mdf4 {
namespace {

using Bytes = std::vector<std::uint8_t>;
using Link = BlockWriter::Link;
using Form = WrittenColumn::Form;

/// "Recommended: at most 4 MByte" of original data in one DZ block (ASAM MDF 4.1, number from memory).
constexpr std::size_t kMostInOneBlock = std::size_t{4} << 20;

constexpr std::size_t kNext = 0;  // every chain of blocks hangs together by its first link

struct ChannelForm {
    unsigned type, sync, data_type;
    std::uint32_t byte_offset, bytes;
    std::optional<std::uint32_t> invalidation_bit;
};

class LogToMdf {
public:
    LogToMdf(const Log& log, const WriteOptions& options) : log_(log), options_(options) {}

    Bytes bytes() && {
        const Link header = write_header();
        out_.set_link(header, 1, write_history());
        Link before = 0;
        for (const WrittenGroup& group : plan_groups(log_)) {
            const Link link = write_group(group);
            out_.set_link(before == 0 ? header : before, kNext, link);
            before = link;
        }
        return std::move(out_).finish();
    }

private:
    Link write_header() {
        Bytes data;
        BytesOut out(data);
        out.integer(options_.start_time_ns, 8);
        out.zeros(24);  // UTC without offsets, and no start angle or distance
        const Link links[6] = {};
        return out_.block("HD", links, data);
    }

    /// Every file must tell who wrote it; no version of the program, so that its bytes stay the same.
    Link write_history() {
        const Link links[2] = {0, out_.xml("<FHcomment><TX>written</TX><tool_id>revwright</tool_id>"
                                           "<tool_vendor>revwright</tool_vendor><tool_version>1</tool_version>"
                                           "</FHcomment>")};
        Bytes data;
        BytesOut out(data);
        out.integer(options_.start_time_ns, 8);
        out.zeros(8);
        return out_.block("FH", links, data);
    }

    Link write_group(const WrittenGroup& group) {
        const Link channels = write_channels(group);
        const Link records = write_records(group);
        Bytes data;
        BytesOut out(data);
        out.integer(0, 8);  // record id, of no use in a sorted file
        out.integer(group.base->seconds.size(), 8);
        out.zeros(8);  // flags, path separator, reserved
        out.integer(group.data_bytes, 4);
        out.integer(group.invalidation_bytes, 4);
        const Link group_links[6] = {0, channels};
        const Link channel_group = out_.block("CG", group_links, data);
        const Link links[4] = {0, channel_group, records, 0};
        return out_.block("DG", links, Bytes(8, 0));
    }

    /// The master and behind it the channels; where the first of them is.
    Link write_channels(const WrittenGroup& group) {
        const Link master = write_channel("time", "s", {2, 1, 4, 0, 8, {}}, 0, 0);
        Link before = master;
        for (const WrittenColumn& column : group.columns) {
            const Channel& channel = *column.channel;
            const bool is_text = column.form == Form::text_offset;
            const unsigned data_type = is_text ? 7 : column.form == Form::index ? 0 : 4;
            const Link conversion = column.form == Form::index ? write_words(channel.texts) : 0;
            const Link texts = is_text ? out_.block("SD", {}, written_texts(channel)) : 0;
            const Link link = write_channel(
                channel.key ? to_string(*channel.key) : channel.name, channel.unit,
                {is_text ? 1U : 0U, 0, data_type, column.byte_offset, column.bytes, column.invalidation_bit},
                conversion, texts);
            out_.set_link(before, kNext, link);
            before = link;
        }
        return master;
    }

    Link write_channel(const std::string& name, const std::string& unit, const ChannelForm& form, Link conversion,
                       Link texts) {
        const Link links[8] = {0, 0, out_.text(name), 0, conversion, texts, unit.empty() ? 0 : out_.text(unit), 0};
        Bytes data;
        BytesOut out(data);
        out.integer(form.type, 1);
        out.integer(form.sync, 1);
        out.integer(form.data_type, 1);
        out.integer(0, 1);  // bits into the first byte
        out.integer(form.byte_offset, 4);
        out.integer(std::uint64_t{8} * form.bytes, 4);
        out.integer(form.invalidation_bit ? 2 : 0, 4);  // the invalidation bit is in use
        out.integer(form.invalidation_bit.value_or(0), 4);
        out.zeros(4 + 6 * 8);  // no precision, attachment or range is stated
        return out_.block("CN", links, data);
    }

    /// Conversion from 0, 1, 2 ... to the texts; there is no other value, so no default.
    Link write_words(const std::vector<std::string>& texts) {
        std::vector<Link> links(4, 0);
        for (const std::string& text : texts) links.push_back(out_.text(text));
        links.push_back(0);
        Bytes data;
        BytesOut out(data);
        out.integer(7, 1);
        out.zeros(3);
        out.integer(texts.size() + 1, 2);
        out.integer(texts.size(), 2);
        out.zeros(16);  // no range of values
        for (std::size_t i = 0; i < texts.size(); ++i) out.real(static_cast<double>(i));
        return out_.block("CC", links, data);
    }

    Link write_records(const WrittenGroup& group) {
        const Bytes records = written_records(group);
        if (records.empty()) return 0;
        return options_.deflate ? write_deflated(records, group.record_bytes()) : out_.block("DT", {}, records);
    }

    /// HL, DL and the DZ blocks of whole records.
    Link write_deflated(std::span<const std::uint8_t> records, std::size_t record_bytes) {
        const std::size_t step = std::max<std::size_t>(kMostInOneBlock / record_bytes, 1) * record_bytes;
        std::vector<Link> parts(1, 0);
        for (std::size_t at = 0; at < records.size(); at += step)
            parts.push_back(
                write_deflated_part(records.subspan(at, std::min(step, records.size() - at)), record_bytes));
        Bytes data;
        BytesOut out(data);
        out.integer(1, 4);  // all parts but the last are equally long
        out.integer(parts.size() - 1, 4);
        out.integer(step, 8);
        const Link list[1] = {out_.block("DL", parts, data)};
        const Bytes header{1, 0, 1, 0, 0, 0, 0, 0};  // equal length; transposed and deflated
        return out_.block("HL", list, header);
    }

    Link write_deflated_part(std::span<const std::uint8_t> records, std::size_t record_bytes) {
        Bytes turned;
        turned.reserve(records.size());
        for (std::size_t column = 0; column < record_bytes; ++column)
            for (std::size_t at = column; at < records.size(); at += record_bytes) turned.push_back(records[at]);
        Bytes small(libdeflate_zlib_compress_bound(compressor_.get(), turned.size()));
        small.resize(
            libdeflate_zlib_compress(compressor_.get(), turned.data(), turned.size(), small.data(), small.size()));
        Bytes data;
        BytesOut out(data);
        out.chars("DT");
        out.integer(1, 1);
        out.zeros(1);
        out.integer(record_bytes, 4);
        out.integer(records.size(), 8);
        out.integer(small.size(), 8);
        out.raw(small);
        return out_.block("DZ", {}, data);
    }

    const Log& log_;
    const WriteOptions& options_;
    BlockWriter out_;
    std::unique_ptr<libdeflate_compressor, decltype(&libdeflate_free_compressor)> compressor_{
        options_.deflate ? libdeflate_alloc_compressor(6) : nullptr, &libdeflate_free_compressor};
};

}  // namespace

std::vector<std::uint8_t> write(const Log& log, const WriteOptions& options) { return LogToMdf(log, options).bytes(); }

}  // namespace revwright::mdf4
