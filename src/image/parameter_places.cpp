#include "image/parameter_places.h"

#include <array>
#include <fmt/format.h>
#include <string_view>
#include <unordered_map>

namespace revwright {
namespace {

using Kind = ParameterDescription::Kind;
using AxisKind = ParameterAxis::Kind;
using Numbers = std::unordered_map<std::string_view, std::size_t>;  // looked up only, never walked through

/// Fills refers_to; a sentence where something it names is not there.
std::string find_references(const ParameterSet& set, const Numbers& numbers, const ParameterDescription& parameter,
                            PlacedParameter& placed) {
    placed.refers_to.resize(parameter.axes.size());
    for (std::size_t d = 0; d < parameter.axes.size(); ++d) {
        const ParameterAxis& axis = parameter.axes[d];
        if (axis.kind == AxisKind::in_record || axis.kind == AxisKind::fixed) continue;
        const auto found = numbers.find(axis.shared);
        if (found == numbers.end()) return fmt::format("its axis {} is not described", axis.shared);
        const Kind wanted = axis.kind == AxisKind::by_curve ? Kind::curve : Kind::axis_points;
        if (set.parameters[found->second].kind != wanted)
            return fmt::format("its axis {} is no {}", axis.shared,
                               wanted == Kind::curve ? "curve" : "axis of its own (AXIS_PTS)");
        placed.refers_to[d] = found->second;
    }
    return {};
}

/// Points of the axes that do not lie in the record; 0 where they do.
std::string count_points(const ParameterDescription& parameter, const PlacedParameter& placed,
                         const std::vector<PlacedParameter>& places, std::array<std::size_t, kMostAxes>& counts) {
    for (std::size_t d = 0; d < std::min(parameter.axes.size(), kMostAxes); ++d) {
        const ParameterAxis& axis = parameter.axes[d];
        if (axis.kind == AxisKind::fixed) counts[d] = axis.fixed_counts.size();
        if (axis.kind == AxisKind::shared) {
            const PlacedParameter& other = places[*placed.refers_to[d]];
            if (!other.record) return fmt::format("its axis {} can not be read: {}", axis.shared, other.why_not);
            if (other.record->axes.empty()) return fmt::format("its axis {} has no points", axis.shared);
            counts[d] = other.record->axes[0].points;
        }
        // A rescaled axis has fewer pairs than points, and a curve says where a point lies, not how many there are.
        if (axis.kind == AxisKind::rescaled || axis.kind == AxisKind::by_curve) {
            const PlacedParameter& other = places[*placed.refers_to[d]];
            if (axis.kind == AxisKind::rescaled && !other.record)
                return fmt::format("its axis {} can not be read: {}", axis.shared, other.why_not);
            if (axis.kind == AxisKind::rescaled && other.record->axes.empty())
                return fmt::format("its axis {} has no points", axis.shared);
            counts[d] = axis.most_points;
        }
    }
    return {};
}

void place(const ParameterSet& set, const Numbers& numbers, const Image& image, std::size_t number,
           std::vector<PlacedParameter>& places) {
    const ParameterDescription& parameter = set.parameters[number];
    PlacedParameter& placed = places[number];
    const auto refuse_it = [&](std::string why) { placed.why_not = std::move(why); };
    if (!parameter.in_memory)
        return refuse_it(parameter.why_not.empty() ? "it is computed and has no bytes" : parameter.why_not);
    if (parameter.address_extension != 0)
        return refuse_it(fmt::format("it lies in address space {} (ECU_ADDRESS_EXTENSION), the image holds space 0",
                                     parameter.address_extension));
    const auto layout = set.layouts.find(parameter.layout);
    if (layout == set.layouts.end()) return refuse_it(fmt::format("its layout {} is not described", parameter.layout));
    if (auto missing = find_references(set, numbers, parameter, placed); !missing.empty()) return refuse_it(missing);
    std::array<std::size_t, kMostAxes> counts{};
    if (auto why = count_points(parameter, placed, places, counts); !why.empty()) return refuse_it(why);
    auto record = place_record(parameter, layout->second, counts, image);
    if (!record) return refuse_it(record.error().what);
    placed.record = std::move(*record);
}

}  // namespace

std::vector<PlacedParameter> place_parameters(const ParameterSet& set, const Image& image) {
    std::vector<PlacedParameter> places(set.parameters.size());
    Numbers numbers;
    for (std::size_t i = 0; i < set.parameters.size(); ++i) numbers.emplace(set.parameters[i].name, i);
    // Axes first: tables refer to them, they refer to nothing.
    for (const bool axes : {true, false})
        for (std::size_t i = 0; i < set.parameters.size(); ++i)
            if ((set.parameters[i].kind == Kind::axis_points) == axes) place(set, numbers, image, i, places);
    return places;
}

std::vector<NamedBytes> bytes_of_parameters(const ParameterSet& set, const std::vector<PlacedParameter>& places) {
    std::vector<NamedBytes> bytes;
    for (std::size_t i = 0; i < places.size(); ++i)
        if (places[i].record)
            for (const ByteRange range : places[i].record->bytes) bytes.push_back({set.parameters[i].name, range});
    return bytes;
}

}  // namespace revwright
