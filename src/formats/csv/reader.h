#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/log.h"

namespace revwright::csv {

/// Reads a log from the bytes of a CSV file; docs/formats/csv.md says what is read and what is refused.
///
/// Channels keep the file's names, units and values; none is given a key (naming does that). A channel that is blank in
/// more than half of the rows gets a time base of its own, shared with channels sampled in the same rows.
/// What the file holds and the log does not is said in Log::lost and Log::quality.
/// file: what errors call it. Errors: bad_input with line and column, or with the byte.
Result<Log> read(std::string_view bytes, const std::string& file);

}  // namespace revwright::csv
