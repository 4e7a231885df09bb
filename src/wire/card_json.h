#pragma once

#include <string>

#include "model/card.h"

namespace revwright::wire {

/// "revwright.card/1" (docs/card.md).
std::string card_json(const TechnicianCard& card);

}  // namespace revwright::wire
