#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "model/review.h"

namespace revwright {

/// A fault as a generator planted it, and what a good review must say of it.
struct PlantedTruth {
    std::string name;
    std::vector<std::string> checks;          // one of them must be raised ...
    Severity at_least = Severity::watch;      // ... so severely
    std::optional<double> engine_speed_rpm;   // and within 400 rpm of here; nothing: it has no place
    std::vector<std::string> may_raise = {};  // consequences that are true as well
};

struct DrivenPull {
    double start_s = 0.0, end_s = 0.0;
    int gear = 0;
};

struct DrivenStretch {
    double start_s = 0.0, end_s = 0.0;
    ExclusionReason reason = ExclusionReason::part_pedal;
};

/// One log of either generator: what happened in it, and what the review said.
struct ScoreCase {
    std::string generator, logger, car;
    std::uint64_t seed = 0;
    std::optional<PlantedTruth> fault = {};  // nothing: a clean log
    std::vector<DrivenPull> pulls = {};
    std::vector<DrivenStretch> stretches = {};
    bool knocked_by_chance = false;  // knock that nobody planted: finding it is no false alarm
    Review review = {};

    /// "rig seed 7, 10 Hz, low-boost"
    std::string name() const;
};

/// One row of the tables: a fault, or the logs of one logger.
struct FaultTally {
    int planted = 0, found = 0;
    int false_alarms = 0;  // stop or mend findings that neither the fault nor its consequences explain
};

/// How often a check speaks on clean logs, in logs.
struct CleanTally {
    int accused = 0, watched = 0;
};

/// What reviews said of logs, held against what really happened in them.
struct Score {
    int logs = 0;
    int planted = 0, found = 0;  // found: a check of the fault, as severe as it is, within 400 rpm of its place
    int pulls_driven = 0, pulls_found = 0;             // found: same gear, both ends within 0.2 s
    int pulls_reported = 0, pulls_right = 0;           // right: as found, seen from the report
    int bounds = 0, bounds_near = 0;                   // ends of pulls that were told to be there at all
    int stretches_planted = 0, stretches_refused = 0;  // refused: an exclusion of the same reason overlaps it
    int clean_logs = 0, clean_logs_accused = 0;        // accused: a stop or mend
    std::map<std::string, FaultTally> by_fault, by_logger, by_car;
    std::map<std::string, CleanTally> by_check;  // on clean logs
    std::map<std::string, int> unjudged;         // faults whose checks this program does not have: logs left out
    std::vector<std::string> misses;             // one sentence each

    double found_pct() const;
    double pulls_found_pct() const;
    double pulls_right_pct() const;
    double bounds_near_pct() const;
    double stretches_refused_pct() const;
    double clean_accused_pct() const;
};

void add(Score& score, const ScoreCase& one);

/// Whether any of the checks of a fault stands in the table of checks.
bool judged(const PlantedTruth& fault);

}  // namespace revwright
