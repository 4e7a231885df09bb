#pragma once

#include <optional>
#include <string>
#include <vector>

#include "physics/air.h"
#include "physics/vehicle.h"
#include "power/coastdown_estimate.h"
#include "power/road_drive.h"
#include "review/run_view.h"

namespace revwright {

/// How unsurely slope and wind are known before anything is driven; common practice, no source.
inline constexpr double kWindSd = 1.5;         // m/s, of one run
inline constexpr double kRunSlopeSd = 0.0005;  // between runs over one road
inline constexpr double kStatedSlopeSd = 0.002, kUnknownSlopeSd = 0.004, kFreeSlopeSd = 0.03;  // of the road

/// Resistance of the car as the job sheet has it, in such air.
RoadLoad told_load(const JobSheet& job, Density air);

/// Density of the air a run was driven in; at 20 C where its temperature is not known.
Density air_of(const RunView& run);

/// What the job sheet says of the car, with how well such things are known. Adds a sentence to `assumptions` for each
/// figure that the sheet left to a default, and for each spread.
///
/// coasted  what coasting logs told of its resistance, which then takes the place of the sheet's
/// ratio  overall, of the gear the pulls were driven in: how much the engine's inertia counts
/// Spreads that the sheet does not state are common practice, no source.
RoadCar car_of(const JobSheet& job, Density air, double ratio, const std::optional<CoastedRoad>& coasted,
               std::vector<std::string>& assumptions);

/// Head wind and slope of a run as they are known before it was driven.
RoadRun run_of(const RunView& run, double usual_occupants_kg);

/// Of the road itself.
Uncertain slope_of_road(std::span<const RunView> runs, bool both_ways, std::vector<std::string>& assumptions);

}  // namespace revwright
