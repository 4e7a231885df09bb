#include <algorithm>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kAroundSeconds = 0.4;  // of the refused stretch: the speed peaks and settles here
constexpr double kCutShare = 0.8;       // of the torque before the shift: below it the drive is cut
constexpr double kLeastFallRpm = 200.0;

struct Shift {
    double from_s = 0.0, to_s = 0.0;
    double from_rpm = 0.0;
    double step_s = 0.0;  // how far the samples stand apart: the time is known no better
};

bool full_pedal(const RunView& run, double from, double to) {
    const Channel* pedal = run.find(Signal::pedal_pct);
    if (!pedal) return false;
    const Samples samples = samples_within(run.log(), *pedal, from, to);
    return !samples.values.empty() && *std::ranges::min_element(samples.values) >= kFullPedalPct;
}

/// From the highest engine speed in the old gear to the lowest in the new one.
std::optional<Shift> speed_fall(const RunView& run, const Excluded& excluded) {
    const Samples speed = samples_within(run.log(), *run.find(Signal::engine_speed_rpm),
                                         excluded.start_s - kAroundSeconds, excluded.end_s + kAroundSeconds);
    if (speed.times.size() < 4) return std::nullopt;
    const std::vector<double> calm = median_of_three(speed.values);
    // The steepest fall lies between the two.
    std::size_t steepest = 1;
    for (std::size_t i = 1; i < calm.size(); ++i)
        if (calm[i] - calm[i - 1] < calm[steepest] - calm[steepest - 1]) steepest = i;
    std::size_t top = steepest - 1, bottom = steepest;
    while (top > 0 && calm[top - 1] > calm[top]) --top;
    while (bottom + 1 < calm.size() && calm[bottom + 1] < calm[bottom]) ++bottom;
    if (calm[top] - calm[bottom] < kLeastFallRpm) return std::nullopt;
    return Shift{speed.times[top], speed.times[bottom], calm[top], typical_interval(speed.times)};
}

/// Widened by what the torque was cut before and after, where it is logged.
void widen_by_torque(const RunView& run, Shift& shift) {
    const Channel* channel = run.find(Signal::torque_nm);
    if (!channel) return;
    const double from = shift.from_s - kAroundSeconds, to = shift.to_s + kAroundSeconds;
    const Samples torque = samples_within(run.log(), *channel, from, to);
    std::vector<double> before;
    for (std::size_t i = 0; i < torque.times.size(); ++i)
        if (torque.times[i] < shift.from_s) before.push_back(torque.values[i]);
    if (before.empty()) return;
    const double cut = kCutShare * *std::ranges::max_element(before);
    const auto middle = std::ranges::find_if(torque.times, [&](double t) { return t >= shift.from_s; });
    std::size_t first = static_cast<std::size_t>(middle - torque.times.begin()), last = first;
    while (first > 0 && torque.values[first - 1] < cut) --first;
    while (last < torque.times.size() && (torque.times[last] < shift.to_s || torque.values[last] < cut)) ++last;
    if (first < torque.times.size()) shift.from_s = std::min(shift.from_s, torque.times[first]);
    if (last < torque.times.size() && last > 0) shift.to_s = std::max(shift.to_s, torque.times[last - 1]);
}

std::vector<Shift> shifts_of(const RunView& run) {
    std::vector<Shift> shifts;
    for (const Excluded& excluded : run.excluded) {
        if (excluded.reason != ExclusionReason::shift) continue;
        auto shift = speed_fall(run, excluded);
        if (!shift || !full_pedal(run, shift->from_s, shift->to_s)) continue;
        widen_by_torque(run, *shift);
        shifts.push_back(*shift);
    }
    return shifts;
}

}  // namespace

std::optional<Obstacle> shift_time_obstacle(const RunView& run) {
    if (shifts_of(run).empty()) return Obstacle{{}, "the log holds no shift under full pedal"};
    return std::nullopt;
}

std::vector<Finding> shift_time(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs)
        for (const Shift& shift : shifts_of(run)) {
            const double seconds = shift.to_s - shift.from_s;
            // Both ends are known to one sample: only what is sure is held against the limit.
            const Verdict judged = verdict(seconds - shift.step_s, limit, Side::above);
            Finding found = finding(shift.from_s, seconds, judged);
            found.margin = judged.limit - seconds;
            found.log = run.index;
            found.engine_speed_rpm = shift.from_rpm;
            found.duration_s = seconds;
            found.text = fmt::format("the shift under full pedal at {:.0f} rpm takes {:.2f} s (known to {:.2f} s)",
                                     shift.from_rpm, seconds, shift.step_s);
            if (judged.severity != Severity::clear)
                found.text +=
                    fmt::format(", {:.2f} s is the limit; shift time and line pressure decide it", judged.limit);
            findings.push_back(std::move(found));
        }
    return findings;
}

}  // namespace revwright
