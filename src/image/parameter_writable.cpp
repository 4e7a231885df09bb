#include "image/parameter_writable.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "image/conversion.h"
#include "image/parameter_axes.h"
#include "image/stored_number.h"

namespace revwright {
namespace {

using Kind = ParameterDescription::Kind;
using AxisKind = ParameterAxis::Kind;

std::string kind_trouble(Kind kind) {
    switch (kind) {
        case Kind::value:
        case Kind::curve:
        case Kind::map:
            return {};
        case Kind::block:
            return "it is a block of numbers: no axis says what a cell is for";
        case Kind::text:
            return "it is a text";
        case Kind::cuboid:
            return "it has more than two axes";
        case Kind::axis_points:
            return "it is an axis: a point that moves would move every table over it";
    }
    return {};
}

std::string axis_trouble(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                         std::size_t d, const ReadAxis& axis) {
    const ParameterAxis& description = set.parameters[number].axes[d];
    if (description.kind == AxisKind::rescaled) return fmt::format("its axis {} is rescaled (RES_AXIS)", d);
    if (description.kind == AxisKind::by_curve) return fmt::format("its axis {} is a curve (CURVE_AXIS)", d);
    const PlacedAxis* placed = placed_points(set, places, number, d);
    if (placed != nullptr && placed->descending)
        return fmt::format(
            "its axis {} is stored from its last point (INDEX_DECR): which cell belongs to which point "
            "is not settled",
            d);
    if (description.kind == AxisKind::shared) {
        const std::string& other = places[*places[number].refers_to[d]].record->why_not;
        if (!other.empty()) return fmt::format("its axis {} ({}) is not understood: {}", d, description.shared, other);
    }
    if (!axis.words.empty()) return fmt::format("the points of its axis {} are words", d);
    if (axis.values.size() != axis.size()) return fmt::format("the points of its axis {} are not understood", d);
    const auto falls = [](double a, double b) { return !(a < b); };
    if (const auto at = std::ranges::adjacent_find(axis.values, falls); at != axis.values.end())
        return fmt::format("its axis {} does not rise: {:.10g} after {:.10g}", d, at[1], at[0]);
    if (!std::ranges::all_of(axis.values, [](double x) { return std::isfinite(x); }))
        return fmt::format("its axis {} holds no finite number", d);
    return {};
}

bool without_gaps(const PlacedNumbers& cells, bool first_fastest) {
    std::uint64_t expected = size_of(cells.type);
    for (std::size_t i = 0; i < cells.shape.size(); ++i) {
        const std::size_t d = first_fastest ? i : cells.shape.size() - 1 - i;
        if (cells.shape[d] > 1 && cells.stride[d] != expected) return false;
        expected *= cells.shape[d];
    }
    return true;
}

bool sound(const LinearConversion& line) {
    return std::isfinite(line.factor) && line.factor != 0.0 && std::isfinite(line.offset);
}

}  // namespace

bool first_index_fastest(const PlacedNumbers& cells) { return !without_gaps(cells, false); }

std::string why_not_writable(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                             const ReadParameter& read) {
    const ParameterDescription& parameter = set.parameters[number];
    const PlacedRecord& record = *places[number].record;
    if (!parameter.why_not.empty()) return parameter.why_not;
    if (auto trouble = kind_trouble(parameter.kind); !trouble.empty()) return trouble;
    if (!record.why_not.empty()) return record.why_not;
    if (!record.values) return "its layout holds no cells";
    if (record.values->shape.size() != read.axes.size()) return "not every dimension of its cells has an axis";
    if (auto trouble = why_not_linear(parameter.conversion); !trouble.empty()) return trouble;
    if (!sound(std::get<LinearConversion>(parameter.conversion))) return "its conversion has no finite factor";
    if (parameter.bit_mask) return "it is only some of the bits of its bytes";
    if (!raw_type(record.values->type)) return "its cells are numbers of 64 bits, or floats of half precision";
    for (std::size_t d = 0; d < read.axes.size(); ++d)
        if (auto trouble = axis_trouble(set, places, number, d, read.axes[d]); !trouble.empty()) return trouble;
    if (!without_gaps(*record.values, true) && !without_gaps(*record.values, false))
        return "its cells alternate with its axis points";
    if (!std::ranges::all_of(read.values, [](double x) { return std::isfinite(x); }))
        return "a cell is no finite number";
    return {};
}

}  // namespace revwright
