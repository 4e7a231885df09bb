#pragma once

#include <string>

#include "model/card.h"

namespace revwright::report {

/// The technician's card as one HTML file that needs nothing else: one A4 page when printed, one column on a phone, no
/// script. Same card, same bytes.
std::string card_html(const TechnicianCard& card);

}  // namespace revwright::report
