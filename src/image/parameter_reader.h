#pragma once

#include <span>
#include <vector>

#include "image/parameter_places.h"
#include "model/image.h"
#include "model/parameter_reading.h"

namespace revwright {

/// Where every parameter lies in an image, and what stands there. Both in the order of the set.
struct ImageParameters {
    std::vector<PlacedParameter> places = {};
    ParameterReading reading = {};
};

/// Reads every parameter of a description: cells, axes, words and text, in the channel's unit where `quantities` (in
/// the order of the set, or empty) knows it and the unit the description writes can be turned into it, else in the
/// latter.
///
/// What can not be read has no values and says why; nothing here fails as a whole. A parameter is writable where its
/// places are understood, its conversion is a straight line, its cells lie without gaps and its axes rise: whatever is
/// read by a convention, or only in part, is not. No more than 8 million numbers
/// in all are read, of long tables of words and of formulas fewer.
ImageParameters read_parameters(const ParameterSet& set, const Image& image,
                                std::span<const ParameterQuantities> quantities = {});

}  // namespace revwright
