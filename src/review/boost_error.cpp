#include "review/boost_error.h"

#include <cmath>

#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kBuiltUpShare = 0.15;  // of its steepest slope: the build-up is over
constexpr double kAheadSeconds = 1.0;   // ... and over so long pressure climbs less than this:
constexpr double kStandsKpaPerS = 5.0;
constexpr double kStandsKpaPerRpm = 0.02;  // below the speed where the turbine gives enough, boost climbs with speed
constexpr double kLastKpaSeconds = 1.5;    // from slow climb to target
constexpr double kReachSeconds = 1.0;
constexpr double kThrottleLagSeconds = 0.3;  // boost needs to come back after the throttle was closed
constexpr double kSlopeSeconds = 0.4;        // over which the build-up is measured

/// Whether boost climbs neither with time nor with engine speed over the next second.
bool stands(const BoostError& boost, const std::vector<double>& rpm, std::size_t from) {
    const std::vector<double>& times = boost.error.times;
    std::size_t to = from;
    while (to + 1 < times.size() && times[to] - times[from] < kAheadSeconds) ++to;
    const double rise = boost.error.values[to] + boost.target[to] - boost.error.values[from] - boost.target[from];
    const double faster = rpm[to] - rpm[from];
    const bool with_speed = faster > 0.0 && rise > kStandsKpaPerRpm * faster && rise > 1.0;
    return !with_speed && rise < kStandsKpaPerS * (times[to] - times[from]);
}

/// Where the gap stops closing though the target is not reached.
std::optional<std::size_t> plateau(const BoostError& boost, const std::vector<double>& rpm) {
    const std::vector<double>& times = boost.error.times;
    std::vector<double> slope(times.size(), 0.0);
    std::size_t ahead = 0, steepest = 0;
    for (std::size_t i = 0; i < times.size(); ++i) {
        while (ahead + 1 < times.size() && times[ahead] - times[i] < kSlopeSeconds) ++ahead;
        if (times[ahead] - times[i] < 0.5 * kSlopeSeconds) break;
        const double rise = boost.error.values[ahead] + boost.target[ahead] - boost.error.values[i] - boost.target[i];
        slope[i] = rise / (times[ahead] - times[i]);
        if (slope[i] > slope[steepest]) steepest = i;
    }
    for (std::size_t i = steepest + 1; i < times.size(); ++i)
        if (times.back() - times[i] >= kSlopeSeconds && slope[i] < kBuiltUpShare * slope[steepest] &&
            stands(boost, rpm, i))
            return i;
    return std::nullopt;
}

}  // namespace

BoostError boost_error(const PullView& view) {
    BoostError boost{view.boost(), {}, {}, {}};
    const Channel* target = view.run->find(Signal::boost_target_kpa);
    if (!target) return {};
    boost.error.values = median_of_three(boost.error.values);
    boost.target = values_along(view.run->log().series(*target), boost.error.times, kReachSeconds);
    for (std::size_t i = 0; i < boost.target.size(); ++i) boost.error.values[i] -= boost.target[i];
    for (std::size_t i = 0; i < boost.target.size() && !boost.reached; ++i)
        if (boost.error.values[i] >= -kReachedKpa) boost.reached = i;
    const Channel* speed = view.run->log().find(Signal::engine_speed_rpm);
    const std::vector<double> rpm = speed
                                        ? values_along(view.run->log().series(*speed), boost.error.times, kReachSeconds)
                                        : std::vector<double>(boost.error.times.size(), 0.0);
    boost.built_up = plateau(boost, rpm);
    // The last few kPa come slowly: a target reached soon after the climb slowed down is a target reached.
    if (boost.reached &&
        (!boost.built_up || boost.error.times[*boost.reached] < boost.error.times[*boost.built_up] + kLastKpaSeconds))
        boost.built_up = boost.reached;
    return boost;
}

std::vector<bool> throttled_at(const PullView& view, const std::vector<double>& times) {
    std::vector<bool> closed(times.size(), false);
    const Channel* throttle = view.run->find(Signal::throttle_pct);
    if (!throttle) return closed;
    const std::vector<double> opening = values_along(view.run->log().series(*throttle), times, kReachSeconds);
    double until = -INFINITY;
    for (std::size_t i = 0; i < times.size(); ++i) {
        if (opening[i] < kOpenThrottlePct) until = times[i] + kThrottleLagSeconds;
        closed[i] = times[i] <= until;
    }
    return closed;
}

}  // namespace revwright
