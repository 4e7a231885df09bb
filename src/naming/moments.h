#pragma once

#include "model/log.h"
#include "naming/claims.h"
#include "naming/sample_summary.h"

namespace revwright {

/// When the engine was in a state that tells pressures, signs and mixtures apart. Empty where the log does not show it,
/// or the channels that show it are not named yet.
struct EngineMoments {
    Stretches off;     // engine speed below 50 rpm
    Stretches closed;  // engine turns, pedal (else throttle) at its lowest: idle and overrun
    Stretches idle;    // of those, 450 to 1300 rpm
    Stretches full;    // pedal (else throttle) at 90 % or more
    Stretches part;    // engine above 1300 rpm and neither closed nor full
};

/// From the channels that are claimed as engine speed, pedal and throttle.
EngineMoments moments_of(const Log& log, const std::vector<Claim>& claims);

}  // namespace revwright
