#pragma once

#include <string>

#include "model/card.h"

namespace revwright::cli::text {

/// The technician's card for a terminal or a plain print: what is in the way first.
std::string card_text(const TechnicianCard& card);

}  // namespace revwright::cli::text
