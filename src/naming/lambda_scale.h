#pragma once

#include "naming/logged_unit.h"
#include "naming/readings.h"

namespace revwright {

/// How a channel that names a mixture is scaled: lambda itself, an air-fuel ratio, or 1 / lambda.
///
/// An air-fuel ratio is divided by the stoichiometric ratio of the job's fuel. Closed-loop running at idle and part
/// load, where the log shows it, must then read lambda 1 within 2.5 %; without a job it is that reading itself which is
/// taken. An equivalence ratio is lambda to some and 1 / lambda to others: a petrol engine is rich at full load, and
/// that tells.
Readings mixture_readings(const Channel& channel, const WordMatch& match, const NamingScene& scene, Claim claim,
                          const LoggedUnit& unit);

}  // namespace revwright
