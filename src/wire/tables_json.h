#pragma once

#include <string>
#include <vector>

#include "model/job.h"
#include "model/table.h"

namespace revwright::wire {

/// "revwright.tables-read/1". `only` empty = every table.
std::string tables_json(const TableSet& tables, const ImageEntry& entry, const std::string& only);

/// The roles a table plays in a job, in the order of the contract.
std::vector<Role> roles_of(const ImageEntry& entry, const std::string& table);

}  // namespace revwright::wire
