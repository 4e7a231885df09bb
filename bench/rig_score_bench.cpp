#include <benchmark/benchmark.h>
#include <cstdio>

#include "recovery/rig_score.h"

namespace {

const revwright::RigScore& hundred_logs() {
    static const revwright::RigScore score = [] {
        const revwright::RigScore done = revwright::score_rig(100, 1);
        for (const std::string& miss : done.misses) std::fprintf(stderr, "  %s\n", miss.c_str());
        return done;
    }();
    return score;
}

// No speed is measured here: the counters say how much of what was planted in 100 simulated logs the review found.
void BM_RigScore(benchmark::State& state) {
    const revwright::RigScore& score = hundred_logs();
    for (auto _ : state) benchmark::DoNotOptimize(&score);
    state.counters["faults_found_pct"] = score.faults_found_pct();
    state.counters["pulls_found_pct"] = score.pulls_found_pct();
    state.counters["pulls_right_pct"] = score.pulls_right_pct();
    state.counters["stretches_refused_pct"] = score.stretches_refused_pct();
    state.counters["clean_logs_accused"] = score.clean_logs_accused;
}
BENCHMARK(BM_RigScore);

}  // namespace
