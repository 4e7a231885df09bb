#pragma once

#include <vector>

#include "core/error.h"
#include "model/job.h"
#include "model/parameter_reading.h"

namespace revwright::app {

/// Which channel of ours each parameter of a description and each of its axes is, in the order of the set.
///
/// [image.quantities] speaks first: "TABLE", "TABLE.axis0", "INPUT" (the measurement that indexes an axis), or the name
/// of a shared axis. Then the words of the name and of its long identifier, where both or one of them mean one channel
/// outright, nothing speaks against it, and the unit is one of it. A pressure that is not said to be absolute is not
/// taken: nothing in a description tells gauge from absolute. All else stays unknown.
///
/// Errors, in the job sheet: a key that names nothing, and a channel whose unit the description's can not be turned
/// into.
Result<std::vector<ParameterQuantities>> parameter_quantities(const ParameterSet& set, const ImageEntry& entry,
                                                              const std::string& job_file);

}  // namespace revwright::app
