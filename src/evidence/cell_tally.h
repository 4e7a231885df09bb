#pragma once

#include <cstddef>
#include <map>
#include <optional>

#include "model/evidence.h"

namespace revwright {

/// A weighted mean in the making.
struct RunningMean {
    double sum = 0.0, weight = 0.0;
    void add(double value, double by) { sum += value * by, weight += by; }
    std::optional<double> mean() const { return weight > 0.0 ? std::optional(sum / weight) : std::nullopt; }
};

/// What is counted in one cell before it becomes evidence. Cylinders count from 1, 0 = not named by the log.
struct CellTally {
    double events = 0.0;
    std::map<std::size_t, double> events_of_pull;  // by Pull::index
    std::map<int, double> listened;                // events of a cylinder at the table's spark, retard logged
    std::map<int, double> knocks;                  // whole events, each in every cell it leans on
    double shared_knocks = 0.0;                    // events shared out by weight
    std::map<int, double> knocks_when_bolder;
    std::optional<double> bolder_value;
    bool censored = false;
    RunningMean lambda_ratio, boost_error;
    std::optional<double> lambda_max, intake_min, intake_max;
    std::optional<WorstCase> worst;

    void note_worst(double value, double time_s, double rpm, std::size_t log);
    CellEvidence evidence(std::size_t flat) const;
};

}  // namespace revwright
