#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/boost_error.h"
#include "review/checks.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kBelowKpa = 5.0;     // by the contract: boost this far below its target
constexpr double kHoldSeconds = 0.5;  // by the contract
// Our choices, common practice, no source.
constexpr double kReachSeconds = 1.0;
constexpr double kClimbsKpaPerS = 10.0;  // boost that still climbs so fast is on its way: every healthy car spools so

/// Boost's climb over half a second around each sample, kPa/s; infinite at the very ends.
std::vector<double> climb(const BoostError& boost) {
    const std::vector<double>& times = boost.error.times;
    std::vector<double> rates(times.size(), INFINITY);
    std::size_t before = 0, after = 0;
    for (std::size_t i = 0; i < times.size(); ++i) {
        while (times[before] < times[i] - 0.5 * kHoldSeconds) ++before;
        while (after + 1 < times.size() && times[after] < times[i] + 0.5 * kHoldSeconds) ++after;
        const double span = times[after] - times[before];
        if (span < 0.5 * kHoldSeconds) continue;
        const auto kpa = [&](std::size_t at) { return boost.error.values[at] + boost.target[at]; };
        rates[i] = (kpa(after) - kpa(before)) / span;
    }
    return rates;
}

/// How far boost is below its target while the duty is at its end; nothing (minus infinity) at other times.
Samples short_of_target(const PullView& view, const BoostError& boost, double end_pct) {
    const Channel* channel = view.run->find(Signal::wastegate_duty_pct);
    const std::vector<double> duty = values_along(view.run->log().series(*channel), boost.error.times, kReachSeconds);
    const std::vector<bool> closed = throttled_at(view, boost.error.times);
    const std::vector<double> rates = climb(boost);
    Samples shortfall;
    for (std::size_t i = boost.built_up.value_or(duty.size()); i < duty.size(); ++i) {
        const bool counts = duty[i] >= end_pct - 1e-9 && !closed[i] && rates[i] < kClimbsKpaPerS;
        shortfall.times.push_back(boost.error.times[i]);
        shortfall.values.push_back(counts ? -boost.error.values[i] : -INFINITY);
    }
    return shortfall;
}

Finding not_saturated(const PullView& view, const BoostError& boost, const Limit& limit) {
    const double built_up_s = boost.built_up ? boost.error.times[*boost.built_up] : view.pull.start_s;
    Samples duty = view.samples(Signal::wastegate_duty_pct, built_up_s - view.pull.start_s);
    if (duty.times.empty()) duty = view.samples(Signal::wastegate_duty_pct);
    const auto highest = std::ranges::max_element(duty.values);
    const double end = limit.watch.value_or(100.0);
    // The duty may be at its end while boost is where it should be, or on its way there.
    Finding found = finding(duty.times[static_cast<std::size_t>(highest - duty.values.begin())], *highest,
                            {Severity::clear, end, std::max(0.0, end - *highest)});
    found.text = "the wastegate has room left wherever boost is below its target";
    return found;
}

}  // namespace

std::optional<Obstacle> no_boost_before_throttle(const RunView& run) {
    if (run.find(Signal::boost_pressure_kpa) || run.find(Signal::throttle_pct)) return std::nullopt;
    return Obstacle{{"boost_pressure_kpa"}, "manifold pressure can not stand in for boost without the throttle"};
}

std::optional<Finding> wastegate_saturated(const PullView& view, const Check&, const Limit& limit) {
    const BoostError boost = boost_error(view);
    if (boost.error.times.empty() || !limit.watch || view.samples(Signal::wastegate_duty_pct).times.empty())
        return std::nullopt;
    const Samples shortfall = short_of_target(view, boost, *limit.watch);
    const auto held = highest_held(shortfall.series(), kHoldSeconds);
    if (!held || held->level <= kBelowKpa) return not_saturated(view, boost, limit);
    const std::size_t at = middle_of_worst(shortfall.series(), *held, kBelowKpa);
    const Channel* channel = view.run->find(Signal::wastegate_duty_pct);
    const double duty = value_at(view.run->log().series(*channel), shortfall.times[at]);
    const double value = std::isnan(duty) ? *limit.watch : std::max(duty, *limit.watch);
    Finding found = finding(shortfall.times[at], value, verdict(value, limit, Side::above));
    found.duration_s = time_above(shortfall.series(), held->worst, kBelowKpa);
    found.text = fmt::format(
        "the wastegate is held shut at {:.0f} % for {:.1f} s and boost stays {:.0f} kPa below its target; no authority "
        "is left: look for a leak, or the turbine gives no more, or the target is too high here",
        value, found.duration_s, held->level);
    return found;
}

}  // namespace revwright
