#include "formats/mdf4/channel_plan.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright::mdf4 {
namespace {

constexpr int kDeepestStructure = 8;
constexpr std::uint64_t kMostElements = 64;  // our choice: more are a table, not a channel
constexpr std::uint32_t kInverseLayout = 1u << 6;

constexpr std::size_t kLongestName = 1024,
                      kLongestUnit = 128;  // our choice: a text block may be linked by every channel

/// At most so many bytes, whole characters of UTF-8.
std::string shortened(const std::string& text, std::size_t most) {
    std::size_t length = std::min(text.size(), most);
    while (length < text.size() && length > 0 && (text[length] & 0xC0) == 0x80) --length;
    return text.substr(0, length);
}

/// "[2][0]" of element `number`, and how many steps of the array's spacing it lies behind the first.
struct Element {
    std::string indices;
    std::uint64_t steps = 0;
};

Element element(std::uint64_t number, const std::vector<std::uint64_t>& sizes, bool first_fastest) {
    std::vector<std::uint64_t> index(sizes.size());
    for (std::size_t d = sizes.size(); d-- > 0;) {
        index[d] = number % sizes[d];
        number /= sizes[d];
    }
    Element found;
    std::uint64_t step = 1;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
        const std::size_t d = first_fastest ? i : sizes.size() - 1 - i;
        found.steps += step * index[d];
        step *= sizes[d];
    }
    for (const std::uint64_t i : index) found.indices += fmt::format("[{}]", i);
    return found;
}

}  // namespace

Result<void> ChannelReader::chain(std::uint64_t first, const std::string& parent, int depth) {
    for (std::uint64_t at = first; at != 0;) {
        if (blocks_.cut(at)) {
            lost_.cut(
                fmt::format("further channels of {} lie at byte {}, behind the end of the file", group_.label(), at));
            return {};
        }
        if (blocks_.id_at(at) == "GD") {
            lost_.add(fmt::format("further channels of {} are guarded against readers of MDF 4.2 (byte {})",
                                  group_.label(), at));
            return {};
        }
        const auto block = blocks_.take(at, {.id = "CN", .links = 8, .data_bytes = 72});
        if (!block) return tl::unexpected(block.error());
        auto read_in = channel(*block, parent);
        if (!read_in) return tl::unexpected(std::move(read_in.error()));
        if (auto added = add(std::move(*read_in), block->link(1), depth); !added) return added;
        at = block->link(0);
    }
    return {};
}

Result<ChannelPlan> ChannelReader::channel(const Block& block, const std::string& parent) {
    const auto name = texts_.at(block.link(2)), unit = texts_.at(block.link(6));
    const auto conversion = conversions_.at(block.link(4));
    if (!name) return tl::unexpected(name.error());
    if (!unit) return tl::unexpected(unit.error());
    if (!conversion) return tl::unexpected(conversion.error());
    const auto type = block.field<std::uint8_t>(0), sync = block.field<std::uint8_t>(1),
               data_type = block.field<std::uint8_t>(2);
    const auto flags = block.field<std::uint32_t>(12);
    if (type > static_cast<int>(ChannelType::virtual_data) || data_type > static_cast<int>(DataType::complex_big))
        return blocks_.refused(
            block.at, fmt::format("expected a channel of type 0 to 6 with data of type 0 to 16, found {} and {}", type,
                                  data_type));
    ChannelPlan plan{.at = block.at,
                     .name = shortened(**name, kLongestName),
                     .unit = shortened(**unit, kLongestUnit),
                     .type = static_cast<ChannelType>(type),
                     .sync = sync <= 4 ? static_cast<SyncType>(sync) : SyncType::none,
                     .data_type = static_cast<DataType>(data_type),
                     .bit_offset = block.field<std::uint8_t>(3),
                     .byte_offset = block.field<std::uint32_t>(4),
                     .bit_count = block.field<std::uint32_t>(8),
                     .all_invalid = (flags & 3) == 1,
                     .conversion = *conversion,
                     .data = block.link(5)};
    if (plan.name.empty()) plan.name = fmt::format("channel at byte {}", block.at);
    if (!parent.empty() && !plan.name.starts_with(parent + "."))
        plan.name = shortened(parent + "." + plan.name, kLongestName);
    if (plan.unit.empty() && plan.conversion != nullptr)
        plan.unit = shortened(plan.conversion->unit_of_numbers(), kLongestUnit);
    if (plan.conversion != nullptr && plan.conversion->kind == Conversion::one_to_one) plan.conversion = nullptr;
    if ((flags & 2) != 0) plan.invalidation_bit = block.field<std::uint32_t>(16);
    return plan;
}

Result<void> ChannelReader::add(ChannelPlan plan, std::uint64_t composition, int depth) {
    if (composition == 0) {
        group_.channels.push_back(std::move(plan));
        return {};
    }
    if (depth >= kDeepestStructure)
        return blocks_.refused(
            composition, fmt::format("expected structures nested at most {} deep, found more", kDeepestStructure));
    const auto id = blocks_.id_at(composition);
    if (id == "CN") {
        const std::string parent = plan.name;
        // A structure is bytes; a number that is also given in parts is a channel beside them.
        if (plan.is_integer() || plan.is_float() || plan.is_string()) group_.channels.push_back(std::move(plan));
        return chain(composition, parent, depth + 1);
    }
    if (id == "CA") return add_array(plan, composition, depth);
    lost_.add(fmt::format(
        "channel {} of {} is composed in a way that is not understood (a block {} at byte {}); it is left out",
        plan.name, group_.label(), id.empty() ? "cut off" : id, composition));
    return {};
}

Result<void> ChannelReader::add_array(const ChannelPlan& plan, std::uint64_t array, int depth) {
    if (blocks_.cut(array)) {
        lost_.cut(fmt::format("the array of channel {} lies at byte {}, behind the end of the file; it is left out",
                              plan.name, array));
        return {};
    }
    const auto block = blocks_.take(array, {.id = "CA", .links = 1, .data_bytes = 16});
    if (!block) return tl::unexpected(block.error());
    const std::size_t dimensions = block->field<std::uint16_t>(2);
    const auto spacing = block->field<std::int32_t>(8);
    std::uint64_t count = 1;
    std::vector<std::uint64_t> sizes;
    for (std::size_t d = 0; d < dimensions && block->data.size() >= 24 + 8 * d && count != 0 && count <= kMostElements;
         ++d) {
        sizes.push_back(block->field<std::uint64_t>(16 + 8 * d));
        count *= std::min(sizes.back(), kMostElements + 1);
    }
    const bool in_record = block->field<std::uint8_t>(1) == 0;
    if (!in_record || dimensions == 0 || sizes.size() != dimensions || count == 0 || count > kMostElements ||
        spacing < 0 || block->link(0) != 0 || depth > 0) {
        lost_.add(
            fmt::format("channel {} of {} is an array that is not read: {} of up to {} elements in the record are",
                        plan.name, group_.label(), "plain arrays", kMostElements));
        return {};
    }
    for (std::uint64_t i = 0; i < count; ++i) {
        const Element part = element(i, sizes, (block->field<std::uint32_t>(4) & kInverseLayout) != 0);
        ChannelPlan channel = plan;
        channel.name += part.indices;
        channel.byte_offset += part.steps * static_cast<std::uint64_t>(spacing);
        if (channel.invalidation_bit) *channel.invalidation_bit += part.steps * block->field<std::uint32_t>(12);
        group_.channels.push_back(std::move(channel));
    }
    return {};
}

}  // namespace revwright::mdf4
