#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/proposal.h"

namespace revwright::wire {

/// "revwright.proposal/1".
std::string proposal_json(const Proposal& proposal);

/// Reads what proposal_json writes, with the approvals a calibrator has added. Errors name the member that is wrong.
Result<Proposal> read_proposal(std::string_view text, const std::string& file);

}  // namespace revwright::wire
