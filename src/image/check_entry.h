#pragma once

#include "core/error.h"
#include "model/description.h"
#include "model/job.h"

namespace revwright {

/// Holds what a job sheet says of an image against the description of its tables.
///
/// Errors, with the place in the job sheet: a role whose table is not described; a spark, lambda or boost role tied to
/// a table that holds something else, where every bound of a proposal would be in the wrong unit; a checksum stored
/// inside a table or its axis, where settling it would move cells.
Result<void> check_entry(const ImageEntry& entry, const Description& description);

}  // namespace revwright
