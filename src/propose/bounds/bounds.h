#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/proposal.h"
#include "propose/forces.h"
#include "propose/situation.h"

namespace revwright {

/// The most a cell may change, physical; below 0 it must fall. `text` says why, as the second half of a sentence.
struct Cap {
    double most = 0.0;
    Bound bound = Bound::step;
    std::string text;
};

/// Each bound looks at one cell and says how far it may go, or nothing where it has no say. Except for demands and the
/// envelope they bind toward risk only: never below 0.
using BoundRule = std::optional<Cap> (*)(const Situation&, const TableSituation&, const CellSituation&);

std::optional<Cap> stop_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> goal_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> low_speed_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> chain_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> envelope_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> evidence_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> knock_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> temperature_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> total_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> step_cap(const Situation&, const TableSituation&, const CellSituation&);
std::optional<Cap> table_cap(const Situation&, const TableSituation&, const CellSituation&);

/// The tightest of all bounds on a cell, and of the demands on it. Of equal ones the first in the order above names it.
Cap tightest(const Situation&, const TableSituation&, const CellSituation&, const Demand* demand);

/// Stands for "no end" in a change.
inline constexpr double kUnboundedChange = 1e6;

/// Lowest change the table can hold, 0 or below.
double lowest_change(const TableSituation&, const CellSituation&);

}  // namespace revwright
