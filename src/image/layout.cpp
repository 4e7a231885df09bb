#include "image/layout.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <limits>

namespace revwright {

std::string address_text(std::uint64_t address) { return fmt::format("0x{:04X}", address); }

std::string addresses(ByteRange range) {
    constexpr std::uint64_t kLast = std::numeric_limits<std::uint64_t>::max();
    const std::uint64_t beyond = range.length - 1;
    const std::uint64_t last = beyond > kLast - range.address ? kLast : range.address + beyond;
    return fmt::format("{} to {}", address_text(range.address), address_text(last));
}

bool overlap(ByteRange a, ByteRange b) {
    if (a.length == 0 || b.length == 0) return false;
    // Differences, not sums: an address may lie at the very end of 64 bits.
    return a.address <= b.address ? b.address - a.address < a.length : a.address - b.address < b.length;
}

bool holds(const Image& image, ByteRange range) { return image.offset_of(range.address, range.length).has_value(); }

std::string held_by(const Image& image) {
    constexpr std::size_t kMostNamed = 4;
    if (image.bytes.empty()) return "no bytes";
    if (image.segments.empty()) return addresses({image.base_address, image.bytes.size()});
    std::string text;
    for (std::size_t i = 0; i < std::min(kMostNamed, image.segments.size()); ++i)
        text += (i > 0 ? ", " : "") + addresses({image.segments[i].address, image.segments[i].length});
    if (image.segments.size() > kMostNamed) text += fmt::format(" and {} more", image.segments.size() - kMostNamed);
    return text;
}

Result<std::size_t> offset_of(const Image& image, ByteRange range, const std::string& what, const Place& place) {
    if (const auto offset = image.offset_of(range.address, range.length)) return *offset;
    return refuse(fmt::format("{} lies at {}, outside image {}, which holds {}", what, addresses(range), image.file,
                              held_by(image)),
                  place);
}

CellIndex index_of(const std::vector<std::size_t>& shape, std::size_t flat) {
    CellIndex at(shape.size());
    for (std::size_t d = shape.size(); d-- > 0;) {
        at[d] = flat % shape[d];
        flat /= shape[d];
    }
    return at;
}

std::string cell_name(const std::string& table, const CellIndex& at) {
    return fmt::format("cell [{}] of table {}", fmt::join(at, ", "), table);
}

ByteRange cell_range(const TableDescription& table, std::size_t flat) {
    std::size_t position = flat;
    if (table.column_major) {
        position = 0;
        std::size_t stride = table.cells();
        // From the last index to the first: the first index runs fastest in memory.
        for (std::size_t d = table.shape.size(); d-- > 0;) {
            stride /= table.shape[d];
            position += flat % table.shape[d] * stride;
            flat /= table.shape[d];
        }
    }
    const std::uint64_t size = size_of(table.coding.type);
    return {table.address + position * size, size};
}

ByteRange point_range(const AxisInMemory& axis, std::size_t point) {
    const std::uint64_t size = size_of(axis.coding.type);
    return {axis.address + point * size, size};
}

}  // namespace revwright
