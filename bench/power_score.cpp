// How good the road's torque is: drawn drives of cars whose truth is known, and the open full-load curves.
// usage: power_score [CASES [SEED]]
#include "recovery/power_score.h"

#include <cstdlib>
#include <fmt/format.h>
#include <string>
#include <vector>

#include "recovery/full_load_curves.h"

namespace {

using namespace revwright;

constexpr std::uint64_t kSeed = 20'261'201;
constexpr int kCases = 600;

struct PowerGoal {
    std::string what;
    double low = 0.0, high = 0.0, value = 0.0;
    bool holds() const { return low <= value && value <= high; }
};

void add_goals(const PowerScore& score, std::vector<PowerGoal>& goals) {
    const PowerTally &all = score.all, &known = score.by_kind.at("known car");
    goals.push_back({"cases without a figure", 0.0, 0.0, static_cast<double>(all.failed)});
    goals.push_back(
        {"torque of a known car, 10 Hz, 0.05 m/s, third gear: RMS error %", 0.0, 1.0, known.torque_rms_pct()});
    goals.push_back({"peak power, mean error %", -0.3, 0.3, mean_error_pct(all.power)});
    goals.push_back({"peak torque, mean error %", -0.3, 0.3, mean_error_pct(all.torque)});
    goals.push_back({"torque between two revisions: RMS error %", 0.0, 1.5, all.difference_rms_pct()});
    goals.push_back({"torque inside its 95 % interval, %", 92.0, 98.0, all.torque_inside_pct()});
    goals.push_back({"peak power inside its 95 % interval, %", 92.0, 98.0, inside_pct(all.power)});
    goals.push_back(
        {"difference between revisions inside its 95 % interval, %", 92.0, 98.0, all.difference_inside_pct()});
}

bool add_vehicle_goals(std::uint64_t seed, std::vector<PowerGoal>& goals) {
    const auto vehicles = read_full_load_vehicles("../shared/data/full-load-curves");
    if (!vehicles) return false;
    std::vector<PeakJudged> peaks;
    double inside = 0.0;
    for (const FullLoadVehicle& vehicle : *vehicles) {
        const PowerCaseJudged judged = judge(full_load_case(vehicle, seed));
        if (judged.power.empty()) continue;
        peaks.push_back(judged.power.front());
        inside += judged.power.front().inside ? 1.0 : 0.0;
    }
    goals.push_back(
        {fmt::format("rated power of {} vehicles inside its 95 % interval", vehicles->size()), 55.0, 58.0, inside});
    goals.push_back({"rated power of these, median error %", 0.0, 1.0, median_error_pct(peaks)});
    return true;
}

void show_part(const char* by, const std::map<std::string, PowerTally>& parts) {
    for (const auto& [name, tally] : parts)
        fmt::print(
            "  {:<9} {:<14} {:>4} cases  torque RMS {:.2f} %, inside {:.1f} %; peak power mean {:+.2f} %, inside "
            "{:.1f} %\n",
            by, name, tally.cases, tally.torque_rms_pct(), tally.torque_inside_pct(), mean_error_pct(tally.power),
            inside_pct(tally.power));
}

}  // namespace

int main(int argc, char** argv) {
    const int cases = argc > 1 ? std::atoi(argv[1]) : kCases;
    const std::uint64_t seed = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : kSeed;
    PowerScore score;
    for (int i = 0; i < cases; ++i) score.add(judge(nth_power_case(i, seed)));
    fmt::print("{} drives\n", cases);
    show_part("kind", score.by_kind);
    show_part("rate", score.by_rate);
    show_part("channels", score.by_channels);
    for (const std::string& failure : score.failures) fmt::print("  no figure: {}\n", failure);
    std::vector<PowerGoal> goals;
    add_goals(score, goals);
    if (!add_vehicle_goals(seed, goals))
        fmt::print("  ../shared/data/full-load-curves is absent: its vehicles were not driven\n");
    bool all_hold = true;
    for (const PowerGoal& goal : goals) {
        all_hold = all_hold && goal.holds();
        fmt::print("{:<6} {:>8.3f}  ({:g} to {:g})  {}\n", goal.holds() ? "holds" : "MISSED", goal.value, goal.low,
                   goal.high, goal.what);
    }
    return all_hold ? 0 : 1;
}
