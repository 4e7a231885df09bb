#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "model/power.h"
#include "power/coastdown_estimate.h"
#include "power/pull_sets.h"
#include "power/road_fit.h"
#include "power/torque_estimate.h"
#include "review/run_view.h"

namespace revwright {

/// Torque of every set from the pulls driven on the road, by one fit over all of them.
struct RoadEstimate {
    std::vector<PowerPull> pulls = {};  // every road pull of the runs, used or not
    std::vector<std::string> assumptions = {};
    std::string refused = {};  // why there is no figure at all; empty where there is one

    // Where there is one:
    std::optional<RoadDrive> drive = {};
    std::optional<RoadFit> fit = {};
    std::map<std::size_t, TorqueEstimate> by_set = {};
    std::map<std::size_t, std::size_t> curve_of_set = {};
    std::map<std::size_t, std::string> refused_by_set = {};
};

/// Precondition: views as view_runs gives them.
/// coasted  the car's resistance, where a log of coasting tells it
RoadEstimate road_estimate(const JobSheet& job, std::span<const RunView> runs, std::span<const ImageRuns> sets,
                           const std::optional<CoastedRoad>& coasted);

}  // namespace revwright
