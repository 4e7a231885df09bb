#include <fmt/format.h>

#include "review/checks.h"
#include "review/engine_running.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kHoldSeconds = 5.0;       // a consumer switching on pulls the voltage down for a moment
constexpr double kAfterStartSeconds = 10;  // the starter's dent, and the alternator takes its time
constexpr double kDeadVolt = 6.0;          // no ignition works below it: the channel is not fitted

/// Voltage while the engine has been running for a while, turned round so that low is high.
Samples low_voltage(const RunView& run) {
    Samples found;
    const Channel* battery = run.find(Signal::battery_v);
    if (!battery) return found;
    const RunningTime running(run.log(), kAfterStartSeconds);
    const Samples all = whole_of(run.log(), *battery);
    const std::vector<double> calm = median_of_three(all.values);
    for (std::size_t i = 0; i < calm.size(); ++i) {
        if (!running.at(all.times[i])) continue;
        found.times.push_back(all.times[i]);
        found.values.push_back(-calm[i]);
    }
    return found;
}

Finding of_run(const RunView& run, const Samples& low, const Held& held, const Limit& limit) {
    const Verdict judged = verdict(-held.level, limit, Side::below);
    Finding found = finding(low.times[held.worst], -held.level, judged);
    found.log = run.index;
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("the battery stays at {:.1f} V or more while the engine runs", -held.level);
        return found;
    }
    for (const Pull& pull : run.pulls)
        if (found.time_s >= pull.start_s && found.time_s <= pull.end_s) found.pull = pull.index;
    found.duration_s = time_above(low.series(), held.worst, -judged.limit);
    found.text = fmt::format(
        "the battery is down to {:.1f} V for {:.0f} s while the engine runs, {:.1f} V is the least; pump and injectors "
        "lose flow with it: look at alternator, belt and earth",
        -held.level, found.duration_s, judged.limit);
    return found;
}

}  // namespace

std::optional<Obstacle> battery_obstacle(const RunView& run) {
    const Samples low = low_voltage(run);
    if (low.times.empty()) return Obstacle{{}, "the engine does not run long enough in this log"};
    if (-median(low.values) < kDeadVolt)
        return Obstacle{
            {"battery_v"},
            fmt::format("battery_v reads {:.1f} V while the engine runs: a dead channel", -median(low.values))};
    return std::nullopt;
}

std::vector<Finding> battery(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const Samples low = low_voltage(run);
        if (const auto held = highest_held(low.series(), kHoldSeconds))
            findings.push_back(of_run(run, low, *held, limit));
    }
    return findings;
}

}  // namespace revwright
