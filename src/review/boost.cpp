#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/boost_error.h"
#include "review/checks.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kOvershootSeconds =
    2.0;  // an excess right after build-up is overshoot until it is gone, at most so long ...
constexpr double kLeastSettleSeconds = 0.5;    // ... and at least so long
constexpr double kHoldSeconds = 0.5;           // a steady error lasts
constexpr double kTargetMovesKpaPerS = 60.0;   // a target that moves faster is not followed steadily
constexpr double kTargetClimbsKpaPerS = 15.0;  // while the target climbs so fast, the build-up goes on
constexpr double kSlopeSeconds = 0.4;          // over which the build-up is measured

/// Where the build-up ends: the target may have been reached while it climbs itself, and be overshot at its top.
std::size_t climbed_at(const BoostError& boost) {
    const std::vector<double>& times = boost.error.times;
    const std::size_t reached = *boost.reached;
    std::size_t i = reached, ahead = reached;
    for (; i + 1 < times.size() && times[i] < times[reached] + kOvershootSeconds; ++i) {
        while (ahead + 1 < times.size() && times[ahead] - times[i] < kSlopeSeconds) ++ahead;
        if (!(boost.target[ahead] - boost.target[i] > kTargetClimbsKpaPerS * (times[ahead] - times[i]))) break;
    }
    return i;
}

/// Where overshoot is over. A plateau below target is steady as it is.
std::size_t settled_at(const BoostError& boost) {
    const std::vector<double>& times = boost.error.times;
    if (boost.reached != boost.built_up) return *boost.built_up;
    std::size_t i = climbed_at(boost);
    const double reached = times[i];
    while (i + 1 < times.size() && times[i] < reached + kOvershootSeconds &&
           (times[i] < reached + kLeastSettleSeconds || boost.error.values[i] > kReachedKpa))
        ++i;
    return i;
}

/// The error after build-up and overshoot, where target and throttle stand still.
Samples steady_error(const PullView& view, const BoostError& boost) {
    Samples steady;
    if (!boost.built_up) return steady;
    const std::vector<double>& times = boost.error.times;
    const std::vector<bool> closed = throttled_at(view, times);
    const double from = times[settled_at(boost)];
    for (std::size_t i = *boost.built_up + 1; i < times.size(); ++i) {
        const double rate = (boost.target[i] - boost.target[i - 1]) / (times[i] - times[i - 1]);
        if (times[i] < from || closed[i] || !(std::abs(rate) <= kTargetMovesKpaPerS)) continue;
        steady.times.push_back(times[i]);
        steady.values.push_back(boost.error.values[i]);
    }
    return steady;
}

Samples times_sign(Samples samples, double sign) {
    for (double& value : samples.values) value *= sign;
    return samples;
}

/// Where an error that proved steady has its middle. Its first moments, which might have been overshoot, belong to it.
double middle_time(const Samples& whole, const Held& held, double at_s, double limit) {
    const auto at = std::ranges::lower_bound(whole.times, at_s) - whole.times.begin();
    const auto index = static_cast<std::size_t>(at);
    return whole.times[middle_of_worst(whole.series(), {held.level, index, index, index}, limit)];
}

/// whole: the error from the end of build-up on, steady or not.
std::optional<Finding> steady_way(const Samples& error, const Samples& whole, double sign, const Limit& limit) {
    const Samples one_way = times_sign(error, sign);
    const auto held = highest_held(one_way.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    const Verdict judged = verdict(held->level, limit, Side::above);
    Finding found = finding(one_way.times[held->worst], sign * held->level, judged);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("boost settles within {:.1f} kPa of its target", std::max(0.0, held->level));
        return found;
    }
    found.time_s = middle_time(times_sign(whole, sign), *held, one_way.times[held->worst], judged.limit);
    found.duration_s = time_above(one_way.series(), held->worst, judged.limit);
    found.levers = sign > 0 ? std::vector<std::string>{"boost_target", "wastegate_duty"}
                            : std::vector<std::string>{"wastegate_duty"};
    found.text =
        fmt::format("boost stays {:.1f} kPa {} its target for {:.1f} s after build-up, {:.0f} kPa is the limit; {}",
                    held->level, sign > 0 ? "above" : "below", found.duration_s, judged.limit,
                    sign > 0 ? "the wastegate is held too far closed" : "the wastegate opens too far or air is lost");
    return found;
}

}  // namespace

std::optional<Finding> boost_steady(const PullView& view, const Check&, const Limit& limit) {
    const BoostError boost = boost_error(view);
    const Samples steady = steady_error(view, boost);
    Samples whole = boost.error;
    if (boost.built_up) {
        const auto before = static_cast<std::ptrdiff_t>(*boost.built_up);
        whole.times.erase(whole.times.begin(), whole.times.begin() + before);
        whole.values.erase(whole.values.begin(), whole.values.begin() + before);
    }
    const auto high = steady_way(steady, whole, 1.0, limit), low = steady_way(steady, whole, -1.0, limit);
    if (!high || !low) return high ? high : low;
    return std::abs(high->margin - low->margin) > 0.0 && low->margin < high->margin ? low : high;
}

std::optional<Finding> boost_overshoot(const PullView& view, const Check&, const Limit& limit) {
    const BoostError boost = boost_error(view);
    if (boost.error.times.empty()) return std::nullopt;
    const std::vector<double>& times = boost.error.times;
    const std::vector<bool> closed = throttled_at(view, times);
    std::size_t worst = boost.reached.value_or(0);
    for (std::size_t i = worst; i < times.size(); ++i)
        if (!closed[i] && boost.error.values[i] > boost.error.values[worst]) worst = i;
    const double excess = boost.error.values[worst];
    const Verdict judged = verdict(excess, limit, Side::above);
    Finding found = finding(times[worst], excess, judged);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("boost goes at most {:.1f} kPa over its target", std::max(0.0, excess));
        return found;
    }
    found.duration_s = time_above(boost.error.series(), worst, judged.limit);
    found.text = fmt::format(
        "boost went {:.1f} kPa over its target for {:.1f} s, {:.0f} kPa is the limit; the wastegate "
        "opens too late or the target is too high here",
        excess, found.duration_s, judged.limit);
    return found;
}

}  // namespace revwright
