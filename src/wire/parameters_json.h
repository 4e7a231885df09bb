#pragma once

#include <string>

#include "model/job.h"
#include "model/parameter_reading.h"

namespace revwright::wire {

/// "revwright.tables-read/1" of every parameter of a data description, in its order. What is more than a table has: its
/// `kind`, `quantity` null where no channel of ours is known (the unit is then the description's), the `input` and
/// `unit` of each axis; values that are words or a text; values null where they can not be read. `only` empty = all.
std::string parameters_json(const ParameterReading& reading, const ImageEntry& entry, const std::string& only);

}  // namespace revwright::wire
