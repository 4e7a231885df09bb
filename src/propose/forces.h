#pragma once

#include <map>
#include <string>
#include <vector>

#include "propose/meter.h"
#include "propose/situation.h"

namespace revwright {

/// What findings demand of one cell.
struct Demand {
    double lower_by = 0.0;  // 0: it may not rise; above: it must fall by this much, physical
    std::string text;       // which finding, and why this much
};

/// Demands of the open findings (mend and stop of the parent's runs), one map by flat index per table of the situation,
/// and what no table can cure.
struct Demands {
    std::vector<std::map<std::size_t, Demand>> of_table;
    std::vector<ProposalRefusal> refused;
};

/// Each finding forces a move to the safe side through the first of its levers that has a table here, by a computed
/// amount (docs/propose.md has the table), in the cells read where it was found; nothing rises in those cells. A
/// finding without such a lever is refused by name, one refusal for a check. Findings that blame the air meter are
/// answered by its correction, or refused with its reason.
Demands demands_of(const Situation& situation, const MeterCorrection& meter);

}  // namespace revwright
