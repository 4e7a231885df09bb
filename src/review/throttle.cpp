#include <fmt/format.h>

#include "review/checks.h"
#include "review/limiter_cause.h"
#include "review/speed_limiter.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices: a throttle takes this long to open, and closes with the pedal at the end.
constexpr double kOpeningSeconds = 0.4;
constexpr double kClosingSeconds = 0.15;
constexpr double kHoldSeconds = 0.1;
constexpr double kLimiterNearRpm = 150.0;  // the speed limiter closes it, and may

}  // namespace

std::optional<Finding> throttle_closing(const PullView& view, const Check&, const Limit& limit) {
    const Samples throttle = view.samples(Signal::throttle_pct, kOpeningSeconds, kClosingSeconds);
    const double limiter = engine_speed_limit_rpm(*view.run);
    Samples closed;
    const std::vector<double> calm = median_of_three(throttle.values);
    for (std::size_t i = 0; i < calm.size(); ++i) {
        if (limiter > 0.0 && view.engine_speed_at(throttle.times[i]) > limiter - kLimiterNearRpm) break;
        closed.times.push_back(throttle.times[i]);
        closed.values.push_back(-calm[i]);
    }
    const auto held = highest_held(closed.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    const double opening = -closed.values[held->worst];
    const Verdict judged = verdict(-held->level, limit, Side::below);
    Finding found =
        finding(closed.times[held->worst], judged.severity == Severity::clear ? -held->level : opening, judged);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("the throttle stays open, {:.0f} % at least", opening);
        return found;
    }
    found.margin = opening - judged.limit;
    found.time_s = closed.times[middle_of_worst(closed.series(), *held, -judged.limit)];
    found.duration_s = time_above(closed.series(), held->worst, -judged.limit);
    const double half = 0.5 * found.duration_s;
    const LimiterCause cause = limiter_cause(view, found.time_s - half, found.time_s + half);
    if (cause.known) found.levers = cause.levers;
    found.text = fmt::format("the throttle closed to {:.0f} % under full pedal for {:.1f} s, {:.0f} % is the limit; {}",
                             opening, found.duration_s, judged.limit, cause.words);
    return found;
}

}  // namespace revwright
