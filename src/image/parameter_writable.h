#pragma once

#include <string>
#include <vector>

#include "image/parameter_places.h"
#include "model/parameter_reading.h"

namespace revwright {

/// Why a parameter that could be read is not to be written: one sentence, the first that applies; empty where it is.
/// Precondition: places[number] has its record.
std::string why_not_writable(const ParameterSet& set, const std::vector<PlacedParameter>& places, std::size_t number,
                             const ReadParameter& read);

/// Whether the cells lie without gaps with the first index (X) running fastest. A value or curve: no matter.
bool first_index_fastest(const PlacedNumbers& cells);

}  // namespace revwright
