#include "image/tables_of_parameters.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "image/parameter_axes.h"
#include "image/parameter_units.h"
#include "image/parameter_writable.h"
#include "image/stored_number.h"

namespace revwright {
namespace {

/// The coding of numbers in the channel's unit. Preconditions: a straight line, a type that tables hold, a unit that
/// turns into the channel's.
Coding coding_of(const PlacedNumbers& numbers, const Conversion& conversion, std::string_view unit, ChannelKey key) {
    const auto& line = std::get<LinearConversion>(conversion);
    const UnitConversion turn = *to_channel_unit(unit, key);
    Coding coding{
        .type = *raw_type(numbers.type), .order = numbers.order, .factor = line.factor, .offset = line.offset};
    if (turn.is_identity()) return coding;
    coding.factor = line.factor * turn.multiply / turn.divide;
    coding.offset = turn(line.offset);
    return coding;
}

/// Whether the points lie in memory as they are read: side by side, rising, on a straight line.
bool plain_in_memory(const ParameterSet& set, const ImageParameters& parameters, std::size_t number, std::size_t d) {
    const PlacedAxis* placed = placed_points(set, parameters.places, number, d);
    if (placed == nullptr || !placed->stored || placed->descending) return false;
    if (holds_differences(set, parameters.places, number, d)) return false;
    const PlacedNumbers& points = *placed->stored;
    const auto* line = std::get_if<LinearConversion>(&set.parameters[number].axes[d].conversion);
    return line != nullptr && line->factor != 0.0 && raw_type(points.type) && points.stride[0] == size_of(points.type);
}

AxisDescription axis_of(const ParameterSet& set, const ImageParameters& parameters, std::size_t number, std::size_t d) {
    const ParameterAxis& description = set.parameters[number].axes[d];
    const ReadAxis& read = parameters.reading.parameters[number].axes[d];
    AxisDescription axis{
        .quantity = *read.quantity, .size = read.size(), .source = {}, .shared = description.shared, .place = {}};
    axis.place = description.place;
    if (!plain_in_memory(set, parameters, number, d)) {
        axis.source = AxisFixed{read.values};
        return axis;
    }
    const PlacedNumbers& points = *placed_points(set, parameters.places, number, d)->stored;
    axis.source =
        AxisInMemory{points.address, coding_of(points, description.conversion, description.unit, axis.quantity)};
    return axis;
}

TableDescription table_of(const ParameterSet& set, const ImageParameters& parameters, std::size_t number) {
    const ParameterDescription& description = set.parameters[number];
    const ReadParameter& read = parameters.reading.parameters[number];
    const PlacedNumbers& cells = *parameters.places[number].record->values;
    TableDescription table{.name = description.name,
                           .quantity = *read.quantity,
                           .address = cells.address,
                           .coding = coding_of(cells, description.conversion, description.unit, *read.quantity),
                           .min = read.min,
                           .max = read.max,
                           .shape = cells.shape,
                           .column_major = first_index_fastest(cells)};
    table.place = description.place;
    for (std::size_t d = 0; d < read.axes.size(); ++d) table.axes.push_back(axis_of(set, parameters, number, d));
    return table;
}

bool all_known(const ReadParameter& read) {
    return read.quantity &&
           std::ranges::all_of(read.axes, [](const ReadAxis& axis) { return axis.quantity.has_value(); });
}

std::string in_unit(const std::string& unit) { return unit.empty() ? "without a unit" : "in " + unit; }

/// A unit that turns into no channel's can not be settled by a key.
std::string unknown_quantity(const std::string& what, const std::string& unit, const std::string& key) {
    if (!unit.empty() && !known_unit(unit))
        return fmt::format("{} is {}, which is no unit of ours (gauge pressure is none either)", what, in_unit(unit));
    return fmt::format("{}, {}, is no known channel: add \"{}\" = \"a channel\" to [image.quantities]", what,
                       in_unit(unit), key);
}

}  // namespace

Description tables_of_parameters(const ParameterSet& set, const ImageParameters& parameters) {
    Description description{.file = set.file};
    for (std::size_t i = 0; i < set.parameters.size(); ++i) {
        const ReadParameter& read = parameters.reading.parameters[i];
        if (read.writable && all_known(read)) description.tables.push_back(table_of(set, parameters, i));
    }
    return description;
}

std::string why_no_table(const ParameterReading& reading, std::string_view name) {
    const auto found = std::ranges::find(reading.parameters, name, &ReadParameter::name);
    if (found == reading.parameters.end()) return {};
    if (!found->writable) return "can not be written: " + found->why_not;
    if (!found->quantity) return unknown_quantity("holds cells whose quantity", found->unit, found->name);
    for (std::size_t d = 0; d < found->axes.size(); ++d) {
        const ReadAxis& axis = found->axes[d];
        if (axis.quantity) continue;
        const std::string key = axis.input.empty() ? fmt::format("{}.axis{}", found->name, d) : axis.input;
        return unknown_quantity(
            fmt::format("has an axis {} whose quantity{}", d, axis.input.empty() ? "" : " (" + axis.input + ")"),
            axis.unit, key);
    }
    return {};
}

Result<void> check_roles(const ImageEntry& entry, const ParameterReading& reading) {
    for (const auto& [role, tables] : entry.roles)
        for (const RoleTable& tied : tables) {
            const auto why = why_no_table(reading, tied.table);
            if (!why.empty())
                return refuse(fmt::format("role {} names {}, which {}", to_string(role), tied.table, why), tied.where);
        }
    return {};
}

Result<void> same_tables(const ImageEntry& entry, const Description& standard, const Description& found,
                         const Image& image) {
    for (const auto& [role, tables] : entry.roles)
        for (const RoleTable& tied : tables) {
            const TableDescription* before = standard.find(tied.table);
            const TableDescription* now = found.find(tied.table);
            if (before == nullptr) continue;
            if (now == nullptr)
                return refuse(fmt::format("table {} ({}) can not be read as a table in this image, as it can in the "
                                          "standard image",
                                          tied.table, to_string(role)),
                              Place{image.file});
            if (before->shape != now->shape)
                return refuse(fmt::format("table {} ({}) has {} points in this image, {} in the standard image: "
                                          "tables of one shape expected",
                                          tied.table, to_string(role), fmt::join(now->shape, " x "),
                                          fmt::join(before->shape, " x ")),
                              Place{image.file});
        }
    return {};
}

}  // namespace revwright
