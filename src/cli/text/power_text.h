#pragma once

#include <string>

#include "model/power.h"

namespace revwright::cli::text {

/// The whole report: figures first, or why there are none; then methods, torque, differences, goal, pulls, what was
/// taken for granted, and what would make the figure surer.
std::string power_text(const PowerReport& report);

}  // namespace revwright::cli::text
