#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kHoldSeconds = 0.3;
constexpr double kTargetLagSeconds = 0.3;  // the pump may take this long to follow a rising target
constexpr double kReferenceSeconds = 1.0;  // before the pull: what low pressure is without load
constexpr double kReachSeconds = 1.0;

/// Percent by which the rail stays below the lowest target of the last moments.
Samples rail_drop(const PullView& view) {
    const Channel* target = view.run->find(Signal::rail_pressure_target_mpa);
    Samples drop = view.samples(Signal::rail_pressure_mpa, kTargetLagSeconds);
    if (!target) return {};
    const std::vector<double> wanted = values_along(view.run->log().series(*target), drop.times, kReachSeconds);
    const std::vector<double> calm = median_of_three(drop.values);
    std::size_t from = 0;
    for (std::size_t i = 0; i < calm.size(); ++i) {
        while (drop.times[i] - drop.times[from] > kTargetLagSeconds) ++from;
        double lowest = wanted[i];
        for (std::size_t j = from; j < i; ++j) lowest = std::min(lowest, wanted[j]);
        drop.values[i] = lowest > 0.0 ? 100.0 * (lowest - calm[i]) / lowest : 0.0;
    }
    return drop;
}

/// Percent by which low pressure falls below what it was before the pull.
Samples low_pressure_drop(const PullView& view) {
    const Channel* channel = view.run->find(Signal::fuel_pressure_low_kpa);
    if (!channel) return {};
    const double start = view.pull.start_s;
    std::vector<double> before =
        samples_within(view.run->log(), *channel, start - kReferenceSeconds, start + kTargetLagSeconds).values;
    if (before.empty()) return {};
    const double reference = median(std::move(before));
    Samples drop = view.samples(*channel);
    drop.values = median_of_three(drop.values);
    for (double& value : drop.values) value = reference > 0.0 ? 100.0 * (reference - value) / reference : 0.0;
    return drop;
}

std::optional<Finding> judge(const Samples& drop, std::string_view what, const Limit& limit) {
    const auto held = highest_held(drop.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    const Verdict judged = verdict(held->level, limit, Side::above);
    Finding found = finding(drop.times[held->worst], held->level, judged);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("{} drops by {:.1f} % at most", what, std::max(0.0, held->level));
        return found;
    }
    found.time_s = drop.times[middle_of_worst(drop.series(), *held, judged.limit)];
    found.duration_s = time_above(drop.series(), held->worst, judged.limit);
    found.text = fmt::format(
        "{} dropped by {:.1f} % for {:.1f} s, {:.0f} % is the limit; the pump can not keep up: less "
        "boost, or pump and filter",
        what, held->level, found.duration_s, judged.limit);
    return found;
}

}  // namespace

std::optional<Finding> fuel_pressure(const PullView& view, const Check&, const Limit& limit) {
    auto rail = judge(rail_drop(view), "rail pressure", limit);
    auto low = judge(low_pressure_drop(view), "low fuel pressure", limit);
    if (!rail || !low) return rail ? rail : low;
    return rail->margin <= low->margin ? rail : low;
}

}  // namespace revwright
