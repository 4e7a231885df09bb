#pragma once

#include <string>

#include "model/job.h"
#include "model/table.h"

namespace revwright::cli::text {

/// Each table as a sheet in physical units: first axis down, second across. `only` empty = every table.
std::string tables_text(const TableSet& tables, const std::string& only);

}  // namespace revwright::cli::text
