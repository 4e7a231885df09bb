#pragma once

#include <span>

#include "power/combination.h"

namespace revwright {

/// Whether methods say the same, by the mean level and the tilt of their torque over the speeds that all of them cover:
/// chi squared of what generalised least squares leaves of these, at 5 %.
PowerAgreement agreement_of(std::span<const NamedEstimate> methods);

/// P(chi squared of so many degrees of freedom > value). Precondition: degrees even and above 0, where the tail is a
/// finite sum ([AbramowitzStegun1964] 26.4.21, from memory).
double chi_squared_tail(double value, int degrees);

}  // namespace revwright
