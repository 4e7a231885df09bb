#include "evidence/cell_tally.h"

#include <algorithm>

#include "numeric/binomial_bound.h"

namespace revwright {
namespace {

constexpr double kConfidence = 0.95;
constexpr double kEventsOfAPull = 5.0;  // from here a pull counts for the cell, by the contract of CellEvidence
constexpr double kRepeatedKnock = 2.0;  // in one cylinder, as the policy's block

}  // namespace

void CellTally::note_worst(double value, double time_s, double rpm, std::size_t log) {
    if (!worst || value > worst->value) worst = WorstCase{value, time_s, rpm, log};
}

CellEvidence CellTally::evidence(std::size_t flat) const {
    CellEvidence cell;
    cell.flat = flat;
    cell.events = events;
    cell.pulls = static_cast<double>(
        std::ranges::count_if(events_of_pull, [](const auto& pull) { return pull.second >= kEventsOfAPull; }));
    cell.knock_events = shared_knocks;
    double listened_in_all = 0.0;
    for (const auto& [cylinder, count] : listened) listened_in_all += count;
    cell.knock_rate_upper = rate_upper_bound(shared_knocks, listened_in_all, kConfidence);
    for (const auto& [cylinder, count] : knocks) {
        if (count <= cell.worst_cylinder_knock_events) continue;
        cell.worst_cylinder = cylinder;
        cell.worst_cylinder_knock_events = count;
        const auto heard = listened.find(cylinder);
        cell.worst_cylinder_events = heard != listened.end() ? heard->second : 0.0;
    }
    cell.knock_censored = censored;
    cell.lambda_ratio = lambda_ratio.mean();
    cell.lambda_max = lambda_max;
    cell.boost_error_kpa = boost_error.mean();
    cell.intake_temp_min_c = intake_min;
    cell.intake_temp_max_c = intake_max;
    cell.worst = worst;
    for (const auto& [cylinder, count] : knocks_when_bolder)
        if (count >= kRepeatedKnock) cell.knocked_at = bolder_value;
    return cell;
}

}  // namespace revwright
