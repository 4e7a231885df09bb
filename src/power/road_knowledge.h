#pragma once

#include <string>
#include <vector>

#include "physics/air.h"
#include "power/road_drive.h"
#include "review/run_view.h"

namespace revwright {

/// Density of the air a run was driven in; at 20 C where its temperature is not known.
Density air_of(const RunView& run);

/// What the job sheet says of the car, with how well such things are known. Adds a sentence to `assumptions` for each
/// figure that the sheet left to a default, and for each spread.
///
/// ratio  overall, of the gear the pulls were driven in: how much the engine's inertia counts
/// Spreads that the sheet does not state are common practice, no source.
RoadCar car_of(const JobSheet& job, Density air, double ratio, std::vector<std::string>& assumptions);

/// Head wind and slope of a run as they are known before it was driven.
RoadRun run_of(const RunView& run, double usual_occupants_kg);

/// Of the road itself.
Uncertain slope_of_road(std::span<const RunView> runs, bool both_ways, std::vector<std::string>& assumptions);

}  // namespace revwright
