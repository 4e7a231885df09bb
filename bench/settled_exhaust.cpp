// How far the settled exhaust temperature, worked back from a pull, is from what the simulated car would have settled
// at: error, error over the spread claimed, false alarms and misses at two deviations. usage: settled_exhaust [DRIVES]
#include "review/settled_exhaust.h"

#include <cmath>
#include <cstdlib>
#include <fmt/format.h>
#include <string>
#include <vector>

#include "formats/sheets/job.h"
#include "review/pulls.h"
#include "review/run_view.h"
#include "rig/drive.h"
#include "rig/example_car.h"

namespace {

using namespace revwright;

constexpr std::uint64_t kFirstSeed = 5000;
constexpr double kMendC = 950.0;
constexpr double kSigma = 2.0;
constexpr int kHotEvery = 4;  // every fourth drive has the fault hot-exhaust

struct Spread {
    std::vector<double> values;
    double mean() const {
        double sum = 0.0;
        for (const double value : values) sum += value;
        return sum / static_cast<double>(values.size());
    }
    double deviation() const {
        double sum = 0.0;
        for (const double value : values) sum += (value - mean()) * (value - mean());
        return std::sqrt(sum / static_cast<double>(values.size()));
    }
    void print(const char* what) const {
        fmt::print("{:<42} {:6.1f} +- {:.1f}  ({} pulls)\n", what, mean(), deviation(), values.size());
    }
};

struct Tally {
    Spread cool, all, in_deviations, claimed;
    int cool_accused = 0, hot = 0, hot_missed = 0;

    void add(const SettledExhaust& found, double truth_c) {
        const double error = found.mean_c - truth_c;
        const bool hot_pull = truth_c >= kMendC, accused = found.mean_c + kSigma * found.sd_k >= kMendC;
        all.values.push_back(error);
        in_deviations.values.push_back(error / found.sd_k);
        claimed.values.push_back(found.sd_k);
        if (!hot_pull) cool.values.push_back(error);
        cool_accused += !hot_pull && accused ? 1 : 0;
        hot += hot_pull ? 1 : 0;
        hot_missed += hot_pull && !accused ? 1 : 0;
    }
};

void drive_and_compare(const JobSheet& job, const TableSet& tables, int nth, Tally& tally) {
    rig::RigSetup setup{.job = job, .tables = tables, .seed = kFirstSeed + static_cast<std::uint64_t>(nth)};
    setup.logger = static_cast<rig::LoggerKind>(nth % 3);
    setup.hardware_fitted = false;
    if (nth % kHotEvery == kHotEvery - 1) setup.faults = {{"hot-exhaust"}};
    const auto run = rig::drive(setup);
    if (!run) std::exit(4);
    RunView view{.job = &job, .driven = {.log = &run->log}};
    view.pulls = find_pulls(run->log, job, 0).pulls;
    for (const Pull& pull : view.pulls) {
        const auto found = settled_exhaust({&view, pull});
        for (const rig::TruthPull& truth : run->truth.pulls)
            if (found && found->sure && std::abs(truth.start_s - pull.start_s) < 0.3)
                tally.add(*found, truth.settled_exhaust_temp_c);
    }
}

}  // namespace

int main(int argc, char** argv) {
    const int drives = argc > 1 ? std::atoi(argv[1]) : 240;
    const auto job = sheets::read_job(rig::example_job_sheet(), "example.toml");
    if (!job || drives < 1) return 2;
    const TableSet tables = rig::standard_tables();
    Tally tally;
    for (int nth = 0; nth < drives; ++nth) drive_and_compare(*job, tables, nth, tally);
    tally.cool.print("error of cool pulls, K");
    tally.all.print("error of all pulls, K");
    tally.in_deviations.print("error of all pulls in deviations claimed");
    tally.claimed.print("deviation claimed, K");
    fmt::print("cool pulls accused {} of {}, hot pulls missed {} of {}\n", tally.cool_accused, tally.cool.values.size(),
               tally.hot_missed, tally.hot);
}
