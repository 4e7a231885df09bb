#pragma once

#include <string>

#include "model/proposal.h"

namespace revwright::cli::text {

/// Per table: the cells that move with old, new and the reason; the ones that do not, counted by what holds them.
std::string proposal_text(const Proposal& proposal);

}  // namespace revwright::cli::text
