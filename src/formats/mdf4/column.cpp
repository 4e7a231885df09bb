#include "formats/mdf4/column.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <fmt/format.h>
#include <limits>

namespace revwright::mdf4 {
namespace {

constexpr double kNoSample = std::numeric_limits<double>::quiet_NaN();
constexpr double kSecondsOfDay = 86400.0;

/// Days from 1984-01-01, which CANopen counts from (CiA 301, TIME_OF_DAY).
double days_since_1984(std::chrono::year_month_day date) {
    using namespace std::chrono;
    return static_cast<double>((sys_days(date) - sys_days(year(1984) / 1 / 1)).count());
}

double day_time(const std::uint8_t* from) {
    const std::uint32_t ms = load<std::uint32_t>(from) & 0x0FFFFFFF;
    return load<std::uint16_t>(from + 4) * kSecondsOfDay + ms / 1000.0;
}

/// Source: ASAM MDF 4.2, CANopen date of 7 bytes.
double date(const std::uint8_t* from) {
    using namespace std::chrono;
    const unsigned of_century = from[6] & 0x7Fu;
    const year_month_day day(year(static_cast<int>(of_century) + (of_century < 84 ? 2000 : 1900)),
                             month(from[5] & 0x3Fu), std::chrono::day(from[4] & 0x1Fu));
    if (!day.ok()) return kNoSample;
    return days_since_1984(day) * kSecondsOfDay + (from[3] & 0x1F) * 3600.0 + (from[2] & 0x3F) * 60.0 +
           load<std::uint16_t>(from) / 1000.0;
}

std::optional<Column::Kind> kind_of(const ChannelPlan& channel) {
    if (channel.is_virtual()) return Column::Kind::row;
    if (channel.type == ChannelType::vlsd && channel.is_string()) return Column::Kind::offset;
    if (channel.type == ChannelType::vlsd) return std::nullopt;
    if (channel.is_string()) return channel.type == ChannelType::mlsd ? Column::Kind::long_word : Column::Kind::word;
    if (channel.is_integer() || channel.is_float()) return Column::Kind::number;
    if (channel.data_type == DataType::canopen_time) return Column::Kind::day_time;
    if (channel.data_type == DataType::canopen_date) return Column::Kind::date;
    return std::nullopt;
}

/// Up to the zero character that ends it.
std::size_t text_length(const std::uint8_t* from, std::size_t most, bool wide) {
    const std::size_t step = wide ? 2 : 1;
    for (std::size_t i = 0; i + step <= most; i += step)
        if (from[i] == 0 && (!wide || from[i + 1] == 0)) return i;
    return most;
}

}  // namespace

std::optional<Column> Column::make(const ChannelPlan& channel, const GroupPlan& group, bool invalidation_apart,
                                   std::size_t& room_for_texts, std::string& why_not) {
    const auto kind = kind_of(channel);
    if (!kind) {
        why_not = "holds bytes that are no number";
        return std::nullopt;
    }
    Column column(channel, *kind);
    if (!column.place(group, why_not)) return std::nullopt;
    if (*kind == Kind::word || *kind == Kind::long_word) column.words.emplace(room_for_texts);
    const Conversion* const conversion = channel.conversion;
    if (conversion != nullptr && conversion->kind == Conversion::bits_to_text && channel.bit_count > 53 &&
        *kind == Kind::number) {
        why_not = "is a field of more than 53 bits";
        return std::nullopt;
    }
    const bool scaled = conversion != nullptr && conversion->kind == Conversion::linear;
    if (scaled) column.scaling_ = {conversion->values[0], conversion->values[1]};
    const bool of_texts = *kind == Kind::word || *kind == Kind::long_word || *kind == Kind::offset;
    column.convert_ = conversion != nullptr && conversion->numeric() && !of_texts && !(scaled && *kind == Kind::number);
    if (*kind == Kind::number) column.reader_ = number_reader(column.field_, scaled, group.data_bytes);
    if (channel.invalidation_bit && *channel.invalidation_bit / 8 < group.invalidation_bytes) {
        const std::size_t byte = *channel.invalidation_bit / 8;
        const Bit bit{byte, static_cast<std::uint8_t>(1u << (*channel.invalidation_bit % 8))};
        if (invalidation_apart)
            column.invalid_apart_ = bit;
        else
            column.invalid_ = Bit{group.data_bytes + byte, bit.mask};
    }
    return column;
}

bool Column::place(const GroupPlan& group, std::string& why_not) {
    if (kind_ == Kind::row) return true;
    std::uint64_t end = 0;
    if (kind_ == Kind::number || kind_ == Kind::offset) {
        ChannelPlan number = *plan_;
        if (kind_ == Kind::offset) number.data_type = DataType::unsigned_little;
        field_ = number_field(number);
        if (field_.bits == 0) {
            why_not = fmt::format("is a number of {} bits from bit {} on, which does not exist", plan_->bit_count,
                                  plan_->bit_offset);
            return false;
        }
        end = field_.byte_offset + field_.bytes;
        reader_ = number_reader(field_, false, group.data_bytes);
    } else {
        bytes_ = kind_ == Kind::day_time ? 6 : kind_ == Kind::date ? 7 : plan_->bit_count / 8;
        end = plan_->byte_offset + bytes_;
    }
    if (kind_ == Kind::long_word) {
        const auto length = std::ranges::find(group.channels, plan_->data, &ChannelPlan::at);
        if (length != group.channels.end() && length->is_integer()) length_ = number_field(*length);
        if (!length_ || length_->bits == 0) {
            why_not = "is text without a channel that gives its length";
            return false;
        }
        end = std::max<std::uint64_t>(end, length_->byte_offset + length_->bytes);
    }
    if (end <= group.data_bytes) return true;
    why_not = fmt::format("ends in byte {} of a record of {} bytes", end, group.data_bytes);
    return false;
}

Script Column::script() const {
    return static_cast<Script>(static_cast<int>(plan_->data_type) - static_cast<int>(DataType::latin1));
}

std::size_t Column::work_per_sample() const {
    return 1 + bytes_ / 8 + (plan_->conversion != nullptr ? plan_->conversion->weight : 0);
}

double Column::word(const std::uint8_t* record) {
    const std::uint8_t* const from = record + plan_->byte_offset;
    std::size_t most = bytes_;
    if (length_) most = std::min<std::uint64_t>(most, bits_of(*length_, record));
    const std::size_t length = text_length(from, most, plan_->data_type >= DataType::utf16_little);
    const std::uint32_t index = words->index_of({reinterpret_cast<const char*>(from), length});
    return index == Words::kNone ? kNoSample : index;
}

void Column::read_tile(const std::uint8_t* records, std::size_t stride, std::size_t count, double* out) {
    const auto each = [&](auto sample) {
        for (std::size_t i = 0; i < count; ++i) out[i] = sample(records + i * stride);
    };
    switch (kind_) {
        case Kind::number:
        case Kind::offset:
            return reader_(field_, records, stride, count, scaling_, out);
        case Kind::word:
        case Kind::long_word:
            return each([&](const std::uint8_t* record) { return word(record); });
        case Kind::day_time:
            return each([&](const std::uint8_t* record) { return day_time(record + plan_->byte_offset); });
        case Kind::date:
            return each([&](const std::uint8_t* record) { return date(record + plan_->byte_offset); });
        case Kind::row:
            return;
    }
}

void Column::leave_out_infinite(std::span<double> numbers) {
    bool any = false;
    for (const double number : numbers) any |= std::isinf(number);
    if (!any) return;
    for (double& number : numbers) {
        if (!std::isinf(number)) continue;
        number = kNoSample;
        ++not_finite;
    }
}

void Column::take(const std::uint8_t* records, std::size_t stride, std::size_t count) {
    if (kind_ == Kind::row) return;
    std::array<double, kTileRows> tile;
    read_tile(records, stride, count, tile.data());
    if (convert_) plan_->conversion->apply(std::span(tile).first(count), whole());
    if (field_.is_float || plan_->conversion != nullptr) leave_out_infinite(std::span(tile).first(count));
    if (invalid_)
        for (std::size_t i = 0; i < count; ++i)
            if ((records[i * stride + invalid_->byte] & invalid_->mask) != 0) tile[i] = kNoSample;
    values.insert(values.end(), tile.begin(), tile.begin() + static_cast<std::ptrdiff_t>(count));
}

void Column::fill(std::size_t rows) {
    values.resize(rows);
    for (std::size_t i = 0; i < rows; ++i) values[i] = static_cast<double>(i);
    if (convert_) plan_->conversion->apply(values, true);
    leave_out_infinite(values);
}

void Column::take_invalid(const std::uint8_t* bytes, std::size_t stride, std::size_t first_row, std::size_t count) {
    if (!invalid_apart_) return;
    for (std::size_t i = 0; i < count && first_row + i < values.size(); ++i)
        if ((bytes[i * stride + invalid_apart_->byte] & invalid_apart_->mask) != 0) values[first_row + i] = kNoSample;
}

}  // namespace revwright::mdf4
