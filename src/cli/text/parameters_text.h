#pragma once

#include <string>

#include "model/job.h"
#include "model/parameter_reading.h"

namespace revwright::cli::text {

/// The parameters of a data description: how many there are of each sort, then one line each, roles first. `only` names
/// one that is shown whole, first axis down and second across.
std::string parameters_text(const ParameterReading& reading, const ImageEntry& entry, const std::string& only);

}  // namespace revwright::cli::text
