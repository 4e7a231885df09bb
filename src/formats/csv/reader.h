#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "core/error.h"
#include "core/workers.h"
#include "model/log.h"

namespace revwright::csv {

/// Reads a log from the bytes of a CSV file; docs/formats/csv.md says what is read and what is refused.
///
/// Channels keep the file's names, units and values; none is given a key (naming does that). A channel that is blank in
/// more than half of the rows gets a time base of its own, shared with channels sampled in the same rows.
/// What the file holds and the log does not is said in Log::lost and Log::quality.
/// file: what errors call it. Errors: bad_input with line and column, or with the byte.
/// bytes: nothing needs to stand behind them. What is returned does not depend on the workers.
Result<Log> read(std::string_view bytes, const std::string& file, const Workers& workers = {});

/// The same, each row for itself and one cell after the other: what `read` is held against in tests.
Result<Log> read_simply(std::string_view bytes, const std::string& file);

/// As read, but with the rows cut into pieces of so many bytes: for tests that want a cut at every place.
Result<Log> read_in_pieces(std::string_view bytes, const std::string& file, std::size_t piece_bytes,
                           const Workers& workers);

}  // namespace revwright::csv
