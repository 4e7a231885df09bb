#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace revwright {

/// What a review said of simulated runs, held against what really happened in them.
struct RigScore {
    int logs = 0;
    int faults_planted = 0,
        faults_found = 0;  // found: a check of the fault, as severe as it is, within 400 rpm of its place
    int pulls_driven = 0, pulls_found = 0;  // found: same gear, both ends within 0.5 s
    int pulls_reported = 0;
    int stretches_planted = 0, stretches_refused = 0;  // refused: an exclusion of the same reason overlaps it
    int clean_logs = 0, clean_logs_accused = 0;        // accused: a stop or mend that no planted fault explains
    std::vector<std::string> misses;                   // one sentence each

    double faults_found_pct() const { return 100.0 * faults_found / faults_planted; }
    double pulls_found_pct() const { return 100.0 * pulls_found / pulls_driven; }
    double pulls_right_pct() const { return 100.0 * pulls_found / pulls_reported; }
    double stretches_refused_pct() const { return 100.0 * stretches_refused / stretches_planted; }
};

/// Drives `logs` runs of the example car, one seed each from `first_seed` on: one in five clean, every fault of the rig
/// in turn in the others, all kinds of logger, stretches that look like pulls among the pulls. Each log goes through
/// CSV.
RigScore score_rig(int logs, std::uint64_t first_seed);

}  // namespace revwright
