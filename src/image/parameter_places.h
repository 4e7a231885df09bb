#pragma once

#include <optional>
#include <string>
#include <vector>

#include "image/parameter_layout.h"
#include "model/image.h"
#include "model/parameter.h"

namespace revwright {

/// Where one parameter lies in an image, or why that can not be told.
struct PlacedParameter {
    std::optional<PlacedRecord> record = {};
    std::string why_not = {};                                // where there is no record
    std::vector<std::optional<std::size_t>> refers_to = {};  // per axis: number of the AXIS_PTS or curve it refers to
};

/// Every parameter of the set, in its order. What one of them lacks (a layout, an address inside the image, another
/// parameter it refers to) costs that one, never the others.
std::vector<PlacedParameter> place_parameters(const ParameterSet& set, const Image& image);

/// Bytes that belong to somebody.
struct NamedBytes {
    std::string name = {};
    ByteRange range = {};
};

/// The bytes of every placed parameter.
std::vector<NamedBytes> bytes_of_parameters(const ParameterSet& set, const std::vector<PlacedParameter>& places);

}  // namespace revwright
