#pragma once

#include <span>
#include <vector>

#include "core/error.h"
#include "model/driven.h"
#include "model/evidence.h"
#include "model/job.h"
#include "model/proposal.h"
#include "model/review.h"
#include "model/table.h"

namespace revwright {

/// All a proposal is made of; everything outlives the call.
struct ProposeInput {
    const JobSheet& job;
    const TableSet& parent;    // the image the next revision starts from
    const TableSet& standard;  // revision 0: steps and totals are counted from it
    std::span<const TableEvidence> evidence;
    const Review& review;
    std::vector<bool> log_is_parent;  // per log: driven with the parent. Only their findings decide what may rise.
    std::span<const DrivenLog> logs;  // as the review counted them
};

/// The changes for the next revision: one quadratic programme over all cells of the spark, lambda target and boost
/// target tables, most predicted torque less roughness, within the bounds of bounds.h. See docs/propose.md.
///
/// Every cell a run visited or the next pull can reach appears, moved or not, with what it was seen of, the bound that
/// held it and one sentence. Values are exactly what the image can hold, rounded to the safe side.
/// Identical inputs give identical bytes. Errors: `bad_input` where the job names no image, `conflict` where the
/// programme was not solved or a change would pass a bound (neither has been seen).
Result<Proposal> propose(const ProposeInput& input);

}  // namespace revwright
