#pragma once

#include "app/open_job.h"
#include "model/proposal.h"
#include "model/review.h"

namespace revwright::app {

struct Proposed {
    Proposal proposal;
    Review review;  // what the proposal answers
};

/// Bounded changes to the parent image from the logs of the job's runs. `image` names the parent, else the standard
/// one.
Result<Proposed> propose_changes(const Path& job, std::span<const Path> logs, const std::optional<Path>& image,
                                 const std::optional<Path>& channel_sheet);

/// Whether the next revision may not be driven as proposed: a stop stands, or a finding found no lever.
bool stands_in_the_way(const Proposed& proposed);

}  // namespace revwright::app
