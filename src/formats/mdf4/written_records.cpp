#include "formats/mdf4/written_records.h"

#include <bit>
#include <cassert>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "formats/mdf4/block_writer.h"

namespace revwright::mdf4 {
namespace {

using Form = WrittenColumn::Form;

/// A conversion counts its links in 16 bits, and one of them is the default.
constexpr std::size_t kMostListedTexts = 65534;

bool is_single(double value) {
    return std::fabs(value) <= std::numeric_limits<float>::max() &&
           static_cast<double>(static_cast<float>(value)) == value;
}

void choose_form(WrittenColumn& column) {
    const Channel& channel = *column.channel;
    if (channel.texts.size() > kMostListedTexts) {
        column.form = Form::text_offset;
    } else if (!channel.texts.empty()) {
        column.form = Form::index;
        column.bytes = channel.texts.size() <= 256 ? 1 : 2;
    } else {
        bool single = true;
        for (const double value : channel.values) single = single && (!is_sample(channel, value) || is_single(value));
        column.form = single ? Form::f32 : Form::f64;
        column.bytes = single ? 4 : 8;
    }
}

bool lacks_samples(const Channel& channel) {
    for (const double value : channel.values)
        if (!is_sample(channel, value)) return true;
    return false;
}

std::uint64_t text_bytes(const Channel& channel, double value) {
    return 4 + channel.texts[static_cast<std::size_t>(value)].size() + 1;
}

/// The bits of one sample in a record; zero where there is none. text_at: where the next text of the channel stands.
std::uint64_t bits_of(const WrittenColumn& column, double value, std::uint64_t& text_at) {
    if (!is_sample(*column.channel, value)) return 0;
    switch (column.form) {
        case Form::f64:
            return std::bit_cast<std::uint64_t>(value);
        case Form::f32:
            return std::bit_cast<std::uint32_t>(static_cast<float>(value));
        case Form::index:
            return static_cast<std::uint64_t>(value);
        case Form::text_offset:
            break;
    }
    const std::uint64_t at = text_at;
    text_at += text_bytes(*column.channel, value);
    return at;
}

}  // namespace

bool is_sample(const Channel& channel, double value) {
    if (!std::isfinite(value)) return false;
    return channel.texts.empty() || (value >= 0.0 && value < static_cast<double>(channel.texts.size()));
}

std::vector<WrittenGroup> plan_groups(const Log& log) {
    std::vector<WrittenGroup> groups;
    std::map<std::pair<std::size_t, std::optional<std::size_t>>, std::size_t> known;
    std::vector<std::uint32_t> invalidation_bits;
    for (const Channel& channel : log.channels) {
        const auto [entry, is_new] = known.try_emplace({channel.time_base, channel.group}, groups.size());
        if (is_new) {
            groups.push_back({.base = &log.time_bases[channel.time_base], .columns = {}});
            invalidation_bits.push_back(0);
        }
        WrittenGroup& group = groups[entry->second];
        assert(channel.values.size() == group.base->seconds.size());
        WrittenColumn column{.channel = &channel, .byte_offset = group.data_bytes};
        choose_form(column);
        group.data_bytes += column.bytes;
        if (lacks_samples(channel)) column.invalidation_bit = invalidation_bits[entry->second]++;
        group.columns.push_back(column);
    }
    for (std::size_t i = 0; i < groups.size(); ++i) groups[i].invalidation_bytes = (invalidation_bits[i] + 7) / 8;
    return groups;
}

std::vector<std::uint8_t> written_records(const WrittenGroup& group) {
    const std::size_t rows = group.base->seconds.size();
    std::vector<std::uint8_t> bytes(rows * group.record_bytes(), 0);
    const auto put = [&](std::size_t at, std::uint64_t value, std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) bytes[at + i] = static_cast<std::uint8_t>(value >> (8 * i));
    };
    for (std::size_t row = 0; row < rows; ++row)
        put(row * group.record_bytes(), std::bit_cast<std::uint64_t>(group.base->seconds[row]), 8);
    for (const WrittenColumn& column : group.columns) {
        std::uint64_t text_at = 0;
        for (std::size_t row = 0; row < rows; ++row) {
            const double value = column.channel->values[row];
            const std::size_t record = row * group.record_bytes();
            put(record + column.byte_offset, bits_of(column, value, text_at), column.bytes);
            if (!is_sample(*column.channel, value))
                bytes[record + group.data_bytes + *column.invalidation_bit / 8] |=
                    static_cast<std::uint8_t>(1U << (*column.invalidation_bit % 8));
        }
    }
    return bytes;
}

std::vector<std::uint8_t> written_texts(const Channel& channel) {
    std::vector<std::uint8_t> bytes;
    BytesOut out(bytes);
    for (const double value : channel.values) {
        if (!is_sample(channel, value)) continue;
        const std::string& text = channel.texts[static_cast<std::size_t>(value)];
        out.integer(text.size() + 1, 4);
        out.chars(text);
        out.zeros(1);
    }
    return bytes;
}

}  // namespace revwright::mdf4
