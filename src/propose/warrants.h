#pragma once

#include <vector>

#include "model/proposal.h"
#include "propose/limits.h"
#include "propose/situation.h"

namespace revwright {

/// A table of the proposal: every cell that a run visited, that the next pull can reach or that moves, with its bound
/// and its sentence.
ProposedTable warranted(const TableSituation& table, const TableLimits& limits, const std::vector<double>& values);

}  // namespace revwright
