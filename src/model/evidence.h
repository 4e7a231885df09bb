#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "model/role.h"
#include "model/table.h"

namespace revwright {

/// The worst thing seen in a cell, with its place in the log.
struct WorstCase {
    double value =
        0.0;  // in the unit of the quantity the role cares for: knock retard in degrees, lambda, boost error in kPa
    double time_s = 0.0;
    double engine_speed_rpm = 0.0;
    std::size_t log = 0;
};

/// What the runs say about one cell. Events are combustion events (engine speed x time x cylinders / 120), shared out
/// over the four cells around the operating point.
struct CellEvidence {
    std::size_t flat = 0;
    double pulls = 0.0;                        // clean pulls that gave the cell at least five events
    double events = 0.0;                       // all cylinders together
    double knock_events = 0.0;                 // all cylinders together, recovered from the logged retard
    int worst_cylinder = 0;                    // counts from 1; 0 = none knocked or not known
    double worst_cylinder_knock_events = 0.0;  // whole events, each in every cell it leans on, not shared out
    double worst_cylinder_events = 0.0;
    double knock_rate_upper = 1.0;            // pooled one-sided 95 % upper bound (Clopper-Pearson)
    bool knock_censored = false;              // the retard stood at its ceiling: events there were not countable
    std::optional<double> lambda_ratio = {};  // measured / target, delay and lag removed, weighted mean
    std::optional<double> lambda_max = {};    // leanest measured
    std::optional<double> boost_error_kpa = {};
    std::optional<double> intake_temp_min_c = {}, intake_temp_max_c = {};
    std::optional<WorstCase> worst = {};
    /// Least value of the cell at which a bolder earlier revision knocked twice in one cylinder here: history that caps
    /// a new rise, while its counts are left out above.
    std::optional<double> knocked_at = {};
};

/// Evidence for one table that plays a role; only visited cells are listed, in rising order of `flat`.
struct TableEvidence {
    Role role = Role::spark;
    std::string table;
    std::vector<CellEvidence> cells;
    const CellEvidence* find(std::size_t flat) const;
};

}  // namespace revwright
