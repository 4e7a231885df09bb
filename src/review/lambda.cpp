#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kHoldSeconds = 0.3;  // the contract's "for 0.3 s"
/// A mixture whose expected value moves faster than this is not steady. Our choice.
constexpr double kSteadyPerSecond = 0.15;
constexpr double kReachSeconds = 1.0;
constexpr double kSlowProbeSeconds = 0.1;  // METHODS 4.1: 50 to 100 ms

/// From a change of the mixture until the probe shows nothing of the old one: the delay, and the lag to 95 %.
/// Only their sum is well determined by a pull, so the lag's part of it is not taken for less than a slow probe's.
double settling(const PullView& view) {
    return view.run->lag.total_s() + 2.0 * std::max(view.run->lag.lag_s, kSlowProbeSeconds);
}

/// Combustion that a probe sample tells of is older by so much.
double late_by(const PullView& view) { return view.run->lag.total_s(); }

std::string bank_name(const Channel& channel) {
    return channel.key->part == 0 ? "" : fmt::format(" of bank {}", channel.key->part);
}

/// Leaves out the samples that still show a mixture from before the charge was near its highest.
Samples at_full_load(const PullView& view, const Samples& lambda) {
    const Signal signal =
        view.run->find(Signal::manifold_pressure_kpa) ? Signal::manifold_pressure_kpa : Signal::boost_pressure_kpa;
    const Channel* pressure = view.run->find(signal);
    if (!view.job().engine.turbocharged() || !pressure) return lambda;
    std::vector<double> burnt_at = lambda.times;
    for (double& time : burnt_at) time -= settling(view);
    const std::vector<double> charge = values_along(view.run->log().series(*pressure), burnt_at, kReachSeconds);
    double highest = 0.0;
    for (const double kpa : charge) highest = std::max(highest, std::isnan(kpa) ? 0.0 : kpa);
    Samples found;
    for (std::size_t i = 0; i < charge.size(); ++i) {
        if (charge[i] < kFilledShare * highest) continue;
        found.times.push_back(lambda.times[i]);
        found.values.push_back(lambda.values[i]);
    }
    return found;
}

/// The mixture was commanded that lean: the target itself is at fault.
bool target_reaches(const PullView& view, double threshold) {
    const Samples target = view.samples(Signal::lambda_target);
    if (target.times.empty()) return true;
    const auto held = highest_held(at_full_load(view, target).series(), kHoldSeconds);
    return held && held->level >= threshold - 1e-9;
}

Finding lean_finding(const PullView& view, const Channel& channel, const Series& series, const Held& held,
                     const Limit& limit) {
    const Verdict judged = verdict(held.level, limit, Side::above);
    const bool clear = judged.severity == Severity::clear;
    const std::size_t at = clear ? held.worst : middle_of_worst(series, held, judged.limit);
    Finding found = finding(series.times[at] - late_by(view), held.level, judged);
    found.duration_s = clear ? 0.0 : time_above(series, held.worst, judged.limit);
    const bool commanded = !clear && target_reaches(view, judged.limit);
    if (!clear && !commanded) found.levers = {"air_meter"};
    found.text = fmt::format(
        "lambda{} stayed at {:.3f} or leaner for {:.1f} s, {:.3f} is the limit; {}", bank_name(channel), held.level,
        std::max(found.duration_s, kHoldSeconds), judged.limit,
        commanded ? "the target itself is that lean" : "the target was richer, so the metered air or fuel is wrong");
    if (clear)
        found.text = fmt::format("leanest lambda{} held is {:.3f}, {:.3f} below the limit", bank_name(channel),
                                 held.level, judged.margin);
    return found;
}

/// Measured less expected, where the expected mixture is steady.
Samples follow_error(const PullView& view, const Channel& channel) {
    const Pull& pull = view.pull;
    const LambdaPair pair =
        lambda_within(view.run->log(), view.run->lag, channel, pull.start_s + settling(view), pull.fuelled_to_s());
    Samples error;
    for (std::size_t i = 1; i < pair.expected.size(); ++i) {
        const double step = pair.measured.times[i] - pair.measured.times[i - 1];
        const double rate = std::abs(pair.expected[i] - pair.expected[i - 1]) / step;
        if (!(rate <= kSteadyPerSecond)) continue;
        error.times.push_back(pair.measured.times[i]);
        error.values.push_back(pair.measured.values[i] - pair.expected[i]);
    }
    error.values = median_of_three(error.values);
    return error;
}

Finding follow_finding(const PullView& view, const Channel& channel, const Samples& signed_error, const Held& held,
                       double sign, const Limit& limit) {
    Samples error = signed_error;
    for (double& value : error.values) value *= sign;
    const Verdict judged = verdict(held.level, limit, Side::above);
    Finding found = finding(error.times[held.worst] - late_by(view), sign * held.level, judged);
    if (judged.severity == Severity::clear) {
        found.text =
            fmt::format("lambda{} follows its target within {:.3f}", bank_name(channel), std::max(0.0, held.level));
        return found;
    }
    found.time_s = error.times[middle_of_worst(error.series(), held, judged.limit)] - late_by(view);
    found.duration_s = time_above(error.series(), held.worst, judged.limit);
    found.text = fmt::format(
        "lambda{} stayed {:.3f} {} than its target for {:.1f} s, delay of {:.2f} s removed ({}); {:.3f} is the limit; "
        "the air "
        "meter or the volumetric efficiency is off",
        bank_name(channel), held.level, sign > 0 ? "leaner" : "richer", found.duration_s, view.run->lag.total_s(),
        view.run->lag.identified ? "from this log" : "a usual value, the target moved too little to tell",
        judged.limit);
    return found;
}

}  // namespace

std::optional<Finding> lambda_lean(const PullView& view, const Check&, const Limit& limit) {
    std::optional<Finding> worst;
    for (const Channel* channel : view.run->all(Signal::lambda)) {
        Samples lambda = view.samples(*channel, settling(view), view.pull.end_s - view.pull.fuelled_to_s());
        lambda.values = median_of_three(lambda.values);
        lambda = at_full_load(view, lambda);
        const auto held = highest_held(lambda.series(), kHoldSeconds);
        if (!held || (worst && held->level <= worst->value)) continue;
        worst = lean_finding(view, *channel, lambda.series(), *held, limit);
    }
    return worst;
}

std::optional<Finding> lambda_follow(const PullView& view, const Check&, const Limit& limit) {
    std::optional<Finding> worst;
    for (const Channel* channel : view.run->all(Signal::lambda)) {
        const Samples error = follow_error(view, *channel);
        for (const double sign : {1.0, -1.0}) {
            Samples one_way = error;
            for (double& value : one_way.values) value *= sign;
            const auto held = highest_held(one_way.series(), kHoldSeconds);
            if (!held || (worst && held->level <= std::abs(worst->value))) continue;
            worst = follow_finding(view, *channel, error, *held, sign, limit);
        }
    }
    return worst;
}

}  // namespace revwright
