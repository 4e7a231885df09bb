#pragma once

#include <string>
#include <vector>

#include "core/error.h"
#include "formats/csv/column_facts.h"
#include "formats/csv/header.h"

namespace revwright::csv {

/// Finds the clocks among the columns and fills Header::groups, left_out and clock_doubt; docs/formats/csv.md says by
/// which rules. Refuses a file without a clock, with a clock in a unit that is none of time, or with dates alone.
Result<bool> find_clocks(Header& header, const std::vector<ColumnFacts>& facts, const Place& place);

}  // namespace revwright::csv
