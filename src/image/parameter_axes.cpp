#include "image/parameter_axes.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "image/conversion.h"

namespace revwright {
namespace {

using AxisKind = ParameterAxis::Kind;

std::vector<double> counts_of(const PlacedNumbers& numbers, const Image& image) {
    std::vector<double> counts(numbers.cells());
    for (std::size_t i = 0; i < counts.size(); ++i) counts[i] = count_at(numbers, i, image);
    return counts;
}

std::vector<double> stored_points(const PlacedAxis& axis, bool differences, const Image& image) {
    if (!axis.stored) return {};
    std::vector<double> counts = counts_of(*axis.stored, image);
    if (differences)
        for (std::size_t i = 1; i < counts.size(); ++i) counts[i] += counts[i - 1];
    if (axis.descending) std::ranges::reverse(counts);
    return counts;
}

std::vector<double> fixed_points(const ParameterAxis& axis, const PlacedAxis& placed) {
    if (!axis.fixed_counts.empty()) return axis.fixed_counts;
    double step = 0.0;
    if (placed.step)
        step = *placed.step;
    else if (placed.shift && *placed.shift >= 0.0 && *placed.shift < 64.0)
        step = std::exp2(*placed.shift);
    if (!placed.first || step == 0.0) return {};
    std::vector<double> counts(placed.points);
    for (std::size_t i = 0; i < counts.size(); ++i) counts[i] = *placed.first + static_cast<double>(i) * step;
    return counts;
}

/// On the polyline through (x, y), x rising: the y at a given x, held at the ends.
double on_line(const std::vector<double>& x, const std::vector<double>& y, double at) {
    const auto upper = std::ranges::upper_bound(x, at);
    if (upper == x.begin()) return y.front();
    if (upper == x.end()) return y.back();
    const auto i = static_cast<std::size_t>(upper - x.begin());
    return y[i - 1] + (at - x[i - 1]) / (x[i] - x[i - 1]) * (y[i] - y[i - 1]);
}

bool rises(const std::vector<double>& x) {
    return !x.empty() && std::ranges::adjacent_find(x, [](double a, double b) { return !(a < b); }) == x.end();
}

struct RescalePairs {
    std::vector<double> axis = {}, place = {};
};

RescalePairs rescale_pairs(const PlacedAxis& placed, const Image& image) {
    RescalePairs pairs;
    const std::vector<double> numbers = counts_of(*placed.pairs, image);
    for (std::size_t i = 0; i + 1 < numbers.size(); i += 2) {
        pairs.axis.push_back(numbers[i]);
        pairs.place.push_back(numbers[i + 1]);
    }
    if (placed.descending) {
        std::ranges::reverse(pairs.axis);
        std::ranges::reverse(pairs.place);
    }
    return pairs;
}

std::vector<double> rescaled_points(const PlacedAxis& placed, std::size_t points, const Image& image) {
    if (!placed.pairs || points < 2) return {};
    const auto [axis, place] = rescale_pairs(placed, image);
    if (!rises(place) || place.front() != 0.0 || place.back() > 4294967295.0) return {};
    const auto full = static_cast<std::uint64_t>(place.back()) + 1;
    if (place.back() != std::floor(place.back()) || !std::has_single_bit(full)) return {};
    const double step = static_cast<double>(full) / static_cast<double>(points - 1);
    std::vector<double> counts(points);
    for (std::size_t i = 0; i < points; ++i) counts[i] = on_line(place, axis, static_cast<double>(i) * step);
    return counts;
}

void convert(const Conversion& conversion, ReadAxis& axis) {
    if (const auto* words = std::get_if<WordConversion>(&conversion)) {
        for (const double count : axis.raw) axis.words.push_back(word_of(*words, count).value_or(""));
        return;
    }
    for (const double count : axis.raw) {
        const auto value = physical_value(conversion, count);
        if (!value) {
            axis.values.clear();
            return;
        }
        axis.values.push_back(*value);
    }
}

/// The inputs at which a curve is 0, 1, 2 .. n - 1.
void invert_curve(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t curve,
                  std::size_t points, const Image& image, ReadAxis& axis) {
    for (std::size_t i = 0; i < points; ++i) axis.raw.push_back(static_cast<double>(i));
    const ParameterDescription& description = set.parameters[curve];
    if (!places[curve].record || !places[curve].record->values || description.axes.size() != 1) return;
    if (description.axes[0].kind == AxisKind::by_curve) return;  // a chain of curves, or a ring
    const ReadAxis input = read_axis(set, places, curve, 0, image);
    if (axis.unit.empty()) axis.unit = input.unit;
    std::vector<double> index;
    for (const double count : counts_of(*places[curve].record->values, image))
        index.push_back(physical_value(description.conversion, count).value_or(NAN));
    if (input.values.size() != index.size() || !rises(index) || !rises(input.values)) return;
    if (index.front() > 0.0 || index.back() < static_cast<double>(points - 1)) return;
    for (std::size_t i = 0; i < points; ++i) axis.values.push_back(on_line(index, input.values, axis.raw[i]));
}

}  // namespace

const PlacedAxis* placed_points(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                                std::size_t axis) {
    const AxisKind kind = set.parameters[number].axes[axis].kind;
    if (kind == AxisKind::by_curve) return nullptr;
    if (kind == AxisKind::in_record || kind == AxisKind::fixed) return &places[number].record->axes[axis];
    return &places[*places[number].refers_to[axis]].record->axes[0];
}

bool holds_differences(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                       std::size_t axis) {
    const ParameterAxis& own = set.parameters[number].axes[axis];
    if (own.differences || own.kind != AxisKind::shared) return own.differences;
    const auto& other = set.parameters[*places[number].refers_to[axis]].axes;
    return !other.empty() && other[0].differences;
}

ReadAxis read_axis(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                   std::size_t d, const Image& image) {
    const ParameterAxis& description = set.parameters[number].axes[d];
    const std::size_t points = places[number].record->axes[d].points;
    ReadAxis axis{.input = description.input, .unit = description.unit};
    if (description.kind == AxisKind::by_curve) {
        invert_curve(set, places, *places[number].refers_to[d], points, image, axis);
        return axis;
    }
    const PlacedAxis& placed = *placed_points(set, places, number, d);
    if (description.kind == AxisKind::fixed)
        axis.raw = fixed_points(description, placed);
    else if (description.kind == AxisKind::rescaled)
        axis.raw = rescaled_points(placed, points, image);
    else if (placed.pairs && !placed.stored)
        axis.raw = rescale_pairs(placed, image).axis;
    else
        axis.raw = stored_points(placed, holds_differences(set, places, number, d), image);
    if (axis.raw.size() != points) {
        // What the axis is, is not known; that it has so many points, is.
        axis.raw.assign(points, NAN);
        return axis;
    }
    convert(description.conversion, axis);
    return axis;
}

}  // namespace revwright
