#pragma once

#include <optional>
#include <span>

#include "core/quantity.h"
#include "model/power.h"
#include "power/road_drive.h"
#include "review/run_view.h"

namespace revwright {

/// The car's resistance as its coasting logs tell it, in the air they were driven in.
struct CoastedRoad {
    CoastedLoad car = {};
    double air_density_kg_m3 = 0.0;
};

/// The same in other air: drag goes with its density.
CoastedLoad in_air(const CoastedRoad& coasted, Density air);

struct CoastdownEstimate {
    std::optional<PowerCoastdown> told = {};  // where any run holds coasting
    std::optional<CoastedRoad> road = {};     // and where it tells something
};

/// From every coasting stretch of the runs. Both ways tell slope and wind from resistance; one way alone leaves what is
/// not known of them in its interval.
CoastdownEstimate coastdown_estimate(const JobSheet& job, std::span<const RunView> runs);

}  // namespace revwright
