#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "review/review.h"
#include "review/review_test_log.h"

namespace {

using namespace revwright;

/// One hour at 20 Hz with a pull every 40 s, and channels that are none of ours up to 60.
Log one_hour() {
    testing::TestDrive drive;
    while (drive.now() < 3600.0 - 40.0) drive.idle(4.0).cruise(29.0, 3, 1800.0).full(3, 1800.0, 6300.0, 7.0);
    Log log = drive.log();
    for (std::size_t i = log.channels.size(); i < 60; ++i) {
        Channel other = log.channels.front();
        other.key.reset();
        other.name = fmt::format("OTHER_{}", i);
        log.channels.push_back(std::move(other));
    }
    return log;
}

// From decoded samples to findings; goal of the issue: below 0.1 s.
void BM_Review(benchmark::State& state) {
    const Log log = one_hour();
    const JobSheet job = testing::test_job();
    const DrivenLog driven{&log, nullptr, nullptr};
    Review found;
    for (auto _ : state) {
        found = review(job, std::span(&driven, 1));
        benchmark::DoNotOptimize(found);
    }
    state.counters["pulls"] = static_cast<double>(found.pulls.size());
    state.counters["channels"] = static_cast<double>(log.channels.size());
}
BENCHMARK(BM_Review)->Unit(benchmark::kMillisecond);

}  // namespace
