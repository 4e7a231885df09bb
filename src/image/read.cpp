#include "image/read.h"

#include <cmath>
#include <fmt/format.h>

#include "image/layout.h"
#include "model/coding.h"

namespace revwright {
namespace {

bool usable(const Coding& coding) {
    return std::isfinite(coding.factor) && coding.factor != 0.0 && std::isfinite(coding.offset);
}

double raw_at(const Image& image, ByteRange range, const Coding& coding) {
    const auto offset = *image.offset_of(range.address, range.length);
    return read_raw(std::span(image.bytes).subspan(offset, range.length), coding);
}

/// Bytes the table takes; held below 64 bits, so that an absurd shape is found outside the image and not wrapped into
/// it.
std::uint64_t bytes_taken(const TableDescription& table) {
    constexpr std::uint64_t kCap = std::uint64_t{1} << 62;
    std::uint64_t bytes = size_of(table.coding.type);
    for (const std::size_t n : table.shape) {
        if (n == 0) return 0;
        bytes = n > kCap / bytes ? kCap : bytes * n;
    }
    return bytes;
}

Result<void> consistent(const TableDescription& table) {
    if (!usable(table.coding))
        return refuse(fmt::format("table {} needs a factor other than 0 and a finite offset", table.name), table.place);
    if (table.axes.size() != table.shape.size())
        return refuse(
            fmt::format("table {} has {} axes for {} dimensions", table.name, table.axes.size(), table.shape.size()),
            table.place);
    for (std::size_t d = 0; d < table.shape.size(); ++d)
        if (table.axes[d].size != table.shape[d] || table.shape[d] == 0)
            return refuse(fmt::format("axis {} of table {} has {} points for {} cells", d, table.name,
                                      table.axes[d].size, table.shape[d]),
                          table.axes[d].place);
    return {};
}

Result<std::vector<double>> points_of(const TableDescription& table, std::size_t d, const Image& image) {
    const AxisDescription& axis = table.axes[d];
    if (const auto* fixed = std::get_if<AxisFixed>(&axis.source)) {
        if (fixed->points.size() == axis.size) return fixed->points;
        return refuse(fmt::format("axis {} of table {} gives {} points, {} expected", d, table.name,
                                  fixed->points.size(), axis.size),
                      axis.place);
    }
    const auto& memory = std::get<AxisInMemory>(axis.source);
    const std::string who = fmt::format("axis {} of table {}", d, table.name);
    if (!usable(memory.coding))
        return refuse(fmt::format("{} needs a factor other than 0 and a finite offset", who), axis.place);
    // The size equals one dimension of a table that was found inside the image: no overflow.
    const auto inside = offset_of(image, {memory.address, axis.size * size_of(memory.coding.type)}, who, axis.place);
    if (!inside) return tl::unexpected(inside.error());
    std::vector<double> points(axis.size);
    for (std::size_t i = 0; i < axis.size; ++i)
        points[i] = physical(memory.coding, raw_at(image, point_range(memory, i), memory.coding));
    return points;
}

Result<void> read_axes(Table& table, const Image& image) {
    const TableDescription& description = table.description;
    for (std::size_t d = 0; d < description.axes.size(); ++d) {
        auto points = points_of(description, d, image);
        if (!points) return tl::unexpected(points.error());
        auto axis = Axis::make(description.name, description.axes[d].quantity, std::move(*points));
        if (!axis)
            return refuse(fmt::format("{} in image {}", axis.error().what, image.file), description.axes[d].place);
        table.axes.push_back(std::move(*axis));
    }
    return {};
}

}  // namespace

Result<Table> read_table(const TableDescription& description, const Image& image) {
    if (const auto sound = consistent(description); !sound) return tl::unexpected(sound.error());
    const auto inside = offset_of(image, {description.address, bytes_taken(description)},
                                  fmt::format("table {}", description.name), description.place);
    if (!inside) return tl::unexpected(inside.error());

    Table table{description};
    if (const auto axes = read_axes(table, image); !axes) return tl::unexpected(axes.error());
    const std::size_t cells = description.cells();
    table.values.reserve(cells);
    table.raw.reserve(cells);
    for (std::size_t flat = 0; flat < cells; ++flat) {
        const double raw = raw_at(image, cell_range(description, flat), description.coding);
        const double value = physical(description.coding, raw);
        if (!std::isfinite(value))
            return refuse(fmt::format("{} is no finite number in image {}", cell_name(description.name, table.at(flat)),
                                      image.file),
                          description.place);
        table.raw.push_back(raw);
        table.values.push_back(value);
    }
    return table;
}

Result<TableSet> read_tables(const Description& description, const Image& image) {
    TableSet set{image.digest, {}};
    set.tables.reserve(description.tables.size());
    for (const TableDescription& table : description.tables) {
        if (set.find(table.name) != nullptr)
            return refuse(fmt::format("two tables are named {}", table.name), table.place);
        auto read = read_table(table, image);
        if (!read) return tl::unexpected(read.error());
        set.tables.push_back(std::move(*read));
    }
    return set;
}

}  // namespace revwright
