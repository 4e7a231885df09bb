#pragma once

#include <vector>

#include "formats/mdf4/data_group.h"
#include "model/log.h"

namespace revwright::mdf4 {

/// Puts the groups together to a log: their time bases, one for all groups whose times are the same, and their
/// channels. Records whose time does not rise are left out of their group. A group without a time of its own or of the
/// group it names has its record numbers for one, which is said.
void assemble(std::vector<ReadGroup> groups, Log& log, Lost& lost);

}  // namespace revwright::mdf4
