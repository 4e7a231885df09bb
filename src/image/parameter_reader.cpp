#include "image/parameter_reader.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <fmt/format.h>
#include <string_view>
#include <unordered_set>

#include "image/conversion.h"
#include "image/parameter_axes.h"
#include "image/parameter_units.h"
#include "image/parameter_writable.h"
#include "image/stored_number.h"

namespace revwright {
namespace {

using Kind = ParameterDescription::Kind;

constexpr std::size_t kMostNumbers = 8'000'000;  // 128 MB of values and counts

double count_of(const ParameterDescription& parameter, const PlacedNumbers& cells, std::size_t flat,
                const Image& image) {
    if (!parameter.bit_mask || *parameter.bit_mask == 0 || is_float(cells.type)) return count_at(cells, flat, image);
    const std::uint64_t bits = bits_at(cells, flat, image) & *parameter.bit_mask;
    return static_cast<double>(bits >> std::countr_zero(*parameter.bit_mask));
}

void read_text(const PlacedNumbers& cells, const Image& image, ReadParameter& read) {
    std::string text;
    for (std::size_t i = 0; i < cells.cells(); ++i) {
        const auto byte = static_cast<char>(bits_at(cells, i, image));
        if (byte == '\0') break;
        text += byte;
    }
    read.text = std::move(text);
}

void convert(const ParameterDescription& parameter, ReadParameter& read) {
    if (const auto* words = std::get_if<WordConversion>(&parameter.conversion)) {
        for (const double count : read.raw) read.words.push_back(word_of(*words, count));
        return;
    }
    const PhysicalLimits limits{parameter.min, parameter.max};
    bool any = false;
    for (const double count : read.raw) {
        const auto value = physical_value(parameter.conversion, count, limits);
        any = any || value;
        read.values.push_back(value.value_or(NAN));
    }
    if (!any) read.values.clear();
}

void read_axis_points(ReadAxis axis, ReadParameter& read) {
    read.shape = {axis.size()};
    read.raw = std::move(axis.raw);
    read.values = std::move(axis.values);
    for (std::string& word : axis.words) read.words.emplace_back(std::move(word));
}

void to_channel(const UnitConversion& turn, std::vector<double>& values) {
    if (turn.is_identity()) return;
    for (double& value : values) value = turn(value);
}

/// Brings cells and axes to the units of their channels, where those are known.
void name_quantities(const ParameterQuantities& quantities, ReadParameter& read) {
    const auto known = [](std::string_view unit, const std::optional<ChannelKey>& channel) {
        return channel ? to_channel_unit(unit, *channel) : std::nullopt;
    };
    const bool numbers = !read.text && read.words.empty();
    if (const auto turn = known(read.unit, quantities.cells); turn && numbers) {
        to_channel(*turn, read.values);
        if (read.min) read.min = (*turn)(*read.min);
        if (read.max) read.max = (*turn)(*read.max);
        if (read.resolution) *read.resolution *= turn->multiply / turn->divide;
        read.quantity = quantities.cells;
        read.unit = info(quantities.cells->signal).unit;
    }
    for (std::size_t d = 0; d < std::min(read.axes.size(), quantities.axes.size()); ++d) {
        ReadAxis& axis = read.axes[d];
        const auto turn = known(axis.unit, quantities.axes[d]);
        if (!turn || !axis.words.empty()) continue;
        to_channel(*turn, axis.values);
        axis.quantity = quantities.axes[d];
        axis.unit = info(axis.quantity->signal).unit;
    }
}

std::optional<double> resolution_of(const ParameterDescription& parameter, const PlacedRecord& record) {
    const auto* line = std::get_if<LinearConversion>(&parameter.conversion);
    if (line == nullptr || !record.values || is_float(record.values->type)) return std::nullopt;
    return std::abs(line->factor);
}

void read_cells(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                const Image& image, ReadParameter& read) {
    const ParameterDescription& parameter = set.parameters[number];
    const PlacedRecord& record = *places[number].record;
    if (parameter.kind == Kind::axis_points) {
        if (!parameter.axes.empty()) read_axis_points(read_axis(set, places, number, 0, image), read);
        return;
    }
    for (std::size_t d = 0; d < parameter.axes.size(); ++d)
        read.axes.push_back(read_axis(set, places, number, d, image));
    if (!record.values) return;
    read.shape = record.values->shape;
    if (parameter.kind == Kind::text) return read_text(*record.values, image, read);
    for (std::size_t flat = 0; flat < record.values->cells(); ++flat)
        read.raw.push_back(count_of(parameter, *record.values, flat, image));
    convert(parameter, read);
}

std::size_t numbers_in(const PlacedRecord& record) {
    std::size_t numbers = record.values ? record.values->cells() : 0;
    for (const PlacedAxis& axis : record.axes) numbers += axis.points + (axis.pairs ? axis.pairs->cells() : 0);
    return numbers;
}

/// What it costs to read the parameter, in numbers: its own, and those of axes and curves it refers to.
std::size_t cost_of_reading(const ParameterDescription& parameter, const std::vector<PlacedParameter>& places,
                            std::size_t number) {
    std::size_t numbers = numbers_in(*places[number].record);
    for (const auto& other : places[number].refers_to)
        if (other && places[*other].record) numbers += numbers_in(*places[*other].record);
    std::size_t dearest = cost_of(parameter.conversion);
    for (const ParameterAxis& axis : parameter.axes) dearest = std::max(dearest, cost_of(axis.conversion));
    return numbers * dearest;
}

ReadParameter read_one(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                       const Image& image, std::size_t& numbers_left) {
    const ParameterDescription& parameter = set.parameters[number];
    ReadParameter read{.name = parameter.name,
                       .kind = parameter.kind,
                       .unit = parameter.unit,
                       .min = parameter.min,
                       .max = parameter.max};
    const PlacedParameter& placed = places[number];
    if (!placed.record) {
        read.why_not = placed.why_not;
        return read;
    }
    const std::size_t cost = cost_of_reading(parameter, places, number);
    if (cost > numbers_left) {
        read.why_not = fmt::format("it is not read: no more than {} numbers of a description are", kMostNumbers);
        return read;
    }
    numbers_left -= cost;
    read_cells(set, places, number, image, read);
    read.resolution = resolution_of(parameter, *placed.record);
    read.why_not = why_not_writable(set, places, number, read);
    read.writable = read.why_not.empty();
    return read;
}

}  // namespace

ImageParameters read_parameters(const ParameterSet& set, const Image& image,
                                std::span<const ParameterQuantities> quantities) {
    ImageParameters parameters{place_parameters(set, image), {image.digest, {}}};
    parameters.reading.parameters.reserve(set.parameters.size());
    std::size_t numbers_left = kMostNumbers;
    std::unordered_set<std::string_view> names;  // looked up only
    for (std::size_t i = 0; i < set.parameters.size(); ++i) {
        ReadParameter read = read_one(set, parameters.places, i, image, numbers_left);
        if (!names.insert(set.parameters[i].name).second && read.writable) {
            read.writable = false;
            read.why_not = "another parameter has its name";
        }
        if (i < quantities.size()) name_quantities(quantities[i], read);
        parameters.reading.parameters.push_back(std::move(read));
    }
    return parameters;
}

}  // namespace revwright
