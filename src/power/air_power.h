#pragma once

#include <optional>
#include <span>

#include "core/error.h"
#include "physics/fuel.h"
#include "power/torque_estimate.h"

namespace revwright {

/// One reading under full load.
struct AirReading {
    double engine_speed_rpm = 0.0, air_mass_flow_g_s = 0.0;
    std::optional<double> lambda = {};  // nothing where it is not logged
};

/// How much of the energy that its air can burn an engine turns into work at the crank, at full load and best lambda:
/// 0.325 up to 2,500 rpm, falling by 6 % to 6,000 rpm.
///
/// From the full-load rows of two production engines on a bench ([EPA-NVFEL], work of the US government): fuel flow
/// times 43.2 MJ/kg gives 0.30 to 0.35 where they run near lambda 1, and 0.22 to 0.32 at high speed, where the boosted
/// one is enriched by an amount the tables do not state; divided by a lambda of 0.75 to 0.95 that is 0.26 to 0.37 of
/// what the air can burn. The spreads (standard deviations, as shares; the tilt at either end) hold both engines and
/// are wider than these for others (common practice, no source).
double air_efficiency(double engine_speed_rpm);
inline constexpr double kAirEfficiencyLevelSd = 0.07, kAirEfficiencyTiltSd = 0.08;

/// Share of that efficiency at a mixture: 1 at lambda 0.88, 0.98 at 1.0, 0.96 at 0.78. Source: textbook shape, from
/// memory. Leaner than 1 the fuel limits the energy, and it falls with 1 / lambda as well.
double mixture_share(double lambda);

/// Torque from the air that went in: work = air * heating value / stoichiometric ratio * efficiency. What is rich of
/// stoichiometric finds no air and does no work, so enriched fuel never counts as power.
/// meter_sd   of the air meter's scale, as a share; shared with other methods that rest on it
/// Errors: too few readings, too few speeds, a mixture leaner than 1.05 (no full load, or a fault of the probe).
Result<TorqueEstimate> air_power(std::span<const AirReading> readings, const FuelProperties& fuel, double meter_sd);

}  // namespace revwright
