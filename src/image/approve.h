#pragma once

#include <vector>

#include "core/error.h"
#include "model/proposal.h"
#include "model/revision.h"
#include "model/table.h"

namespace revwright {

/// The cells a proposal's approvals name, each checked and turned into counts, in the order of the approvals.
///
/// Refused, with one sentence: an unknown or unwritable table, a cell out of shape, approved twice or by nobody,
/// not in the proposal or in it twice, whose `from` is not what the parent holds (half a resolution), whose `to` is no
/// number, outside the table's limits, outside its type, or between two counts (1e-6 of a resolution).
Result<std::vector<ChangedCell>> approved_cells(const Proposal& proposal, const TableSet& parent);

}  // namespace revwright
