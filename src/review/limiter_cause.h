#pragma once

#include <string>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// Why a throttle closed under full pedal, as far as the log and the image it was driven with show it.
struct LimiterCause {
    std::string words;                // "modelled torque stands at its limit of 320 Nm (TORQUE_LIMIT)"
    std::vector<std::string> levers;  // roles that may cure it, or "hardware"
    bool known = false;               // else `words` says what would tell
};

/// Looks for the limiter that binds while the throttle is closed, from_s to to_s: the torque request, the limit tables
/// of the image, road speed, boost over its target, intake and coolant temperature; in that order, the first that
/// binds.
LimiterCause limiter_cause(const PullView& view, double from_s, double to_s);

}  // namespace revwright
