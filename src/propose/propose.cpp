#include "propose/propose.h"

#include <fmt/format.h>

#include "propose/forces.h"
#include "propose/limits.h"
#include "propose/meter.h"
#include "propose/programme.h"
#include "propose/rounding.h"
#include "propose/situation.h"
#include "propose/warrants.h"

namespace revwright {

Result<Proposal> propose(const ProposeInput& input) {
    if (!input.job.image) return refuse("the job sheet has no [image], and a proposal needs its tables");
    Proposal proposal;
    proposal.parent = input.parent.image;
    proposal.refused = refused_tables(input);

    const Situation situation = situation_of(input);
    const MeterCorrection meter = meter_correction(input);
    const Demands demands = demands_of(situation, meter);
    proposal.refused.insert(proposal.refused.end(), demands.refused.begin(), demands.refused.end());
    const std::vector<TableLimits> limits = limits_of(situation, demands);
    const auto changes = best_changes(situation, limits);
    if (!changes) return tl::unexpected(changes.error());

    for (std::size_t i = 0; i < situation.tables.size(); ++i) {
        const std::vector<double> values = rounded_values(situation.tables[i], limits[i], changes->at(i));
        if (const auto broken = broken_bound(situation.tables[i], limits[i], values))
            return fail(Fault::conflict, *broken);
        proposal.tables.push_back(warranted(situation.tables[i], limits[i], values));
    }
    if (meter.table) proposal.tables.push_back(*meter.table);
    return proposal;
}

}  // namespace revwright
