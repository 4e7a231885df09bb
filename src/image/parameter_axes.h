#pragma once

#include <cstddef>
#include <vector>

#include "image/parameter_places.h"
#include "model/parameter_reading.h"

namespace revwright {

/// The points of one direction of a parameter: counts, and values or words in the unit the description writes.
/// Values are empty where the conversion has none for a count, or what the axis refers to does not tell them.
/// Precondition: places[number] has its record.
///
/// fixed      FIX_AXIS_PAR: offset + i 2^shift; FIX_AXIS_PAR_DIST: offset + i distance; or the counts of a list
/// rescaled   point i stands at i (last + 1) / (n - 1) of the second numbers of its pairs, held at the last; between
///            pairs the first numbers are straight lines. Only where last + 1 is a power of two.
/// by_curve   point i is the input at which the curve it refers to is i, counted from 0
/// Sources: ASAM MCD-2 MC 1.6, AXIS_DESCR; what is only convention in docs/formats/a2l.md.
ReadAxis read_axis(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                   std::size_t axis, const Image& image);

/// The record that holds the points of an axis, null where none does, and which of its axes that is.
const PlacedAxis* placed_points(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                                std::size_t axis);

/// Whether the points are stored as steps from the one before.
bool holds_differences(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                       std::size_t axis);

}  // namespace revwright
