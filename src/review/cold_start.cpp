#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

#include "review/checks.h"
#include "review/engine_running.h"
#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kColdC = 40.0;           // coolant below it at the start
constexpr double kFreezingC = 0.0;        // below it any engine is started as rich as it needs
constexpr double kWatchedSeconds = 60.0;  // after the start
constexpr double kHoldSeconds = 3.0;
constexpr double kFlareSeconds = 2.0;    // the first turns are rich on purpose
constexpr double kAliveSeconds = 1.5;    // a probe is alive that moves, but not far, for so long ...
constexpr double kAliveMoves = 0.002;    // ... by so much at least: a cold one rests at a constant
constexpr double kAliveSettled = 0.12;   // ... and at most: warming up it runs through its whole range
constexpr double kAliveDrift = 0.02;     // ... and does not creep: halves of the time differ by less
constexpr double kAliveHighest = 1.6;    // no engine runs leaner: that is the probe's end of scale
constexpr double kOverrunSeconds = 2.0;  // after fuel cut the probe still sees air
constexpr double kRestPct = 1.5;         // pedal above its lowest: the foot is on it
constexpr double kRollingKmH = 3.0;
constexpr double kOverrunRpm = 2200.0;  // where no road speed is logged: above any cold idle
constexpr double kReachSeconds = 2.0;
constexpr double kSlowReachSeconds = 10.0;

struct ColdStart {
    double time_s = 0.0, coolant_c = 0.0;
};

/// When the engine was started cold, if it was. A log that begins with a cold engine running was begun right after.
std::optional<ColdStart> started_cold(const RunView& run) {
    const Channel* speed = run.find(Signal::engine_speed_rpm);
    const Channel* coolant = run.find(Signal::coolant_temp_c);
    if (!speed || !coolant) return std::nullopt;
    const Samples turning = whole_of(run.log(), *speed);
    const std::vector<double> calm = median_of_three(turning.values);
    const std::vector<double> warmth = values_along(run.log().series(*coolant), turning.times, kSlowReachSeconds);
    for (std::size_t i = 0; i < calm.size(); ++i) {
        const bool starts = calm[i] >= kRunsFromRpm && (i == 0 || calm[i - 1] < kRunsFromRpm);
        // At the very first row the slow channel may have no sample yet.
        const double now = i + 1 < warmth.size() && std::isnan(warmth[i]) ? warmth[i + 1] : warmth[i];
        if (starts && now < kColdC) return ColdStart{turning.times[i], now};
    }
    return std::nullopt;
}

/// Times at which the probe may see air of an engine without fuel.
std::vector<bool> overrun(const RunView& run, const std::vector<double>& times) {
    const Channel* pedal = run.find(Signal::pedal_pct);
    if (!pedal) pedal = run.find(Signal::throttle_pct);
    const Channel* road = run.find(Signal::vehicle_speed_km_h);
    const Channel* speed = run.find(Signal::engine_speed_rpm);
    std::vector<bool> cut(times.size(), false);
    const std::vector<double> rpm = values_along(run.log().series(*speed), times, kReachSeconds);
    const std::vector<double> kmh =
        road ? values_along(run.log().series(*road), times, kReachSeconds) : std::vector<double>(times.size(), NAN);
    std::vector<double> foot(times.size(), 0.0);
    double rest = 0.0;
    if (pedal) {
        foot = values_along(run.log().series(*pedal), times, kReachSeconds);
        rest = std::ranges::min(whole_of(run.log(), *pedal).values);
    }
    double until = -INFINITY;
    for (std::size_t i = 0; i < times.size(); ++i) {
        const bool rolling = std::isnan(kmh[i]) ? rpm[i] > kOverrunRpm : kmh[i] > kRollingKmH;
        if (rolling && !(foot[i] > rest + kRestPct)) until = times[i] + kOverrunSeconds;
        cut[i] = times[i] <= until;
    }
    return cut;
}

/// How far the mean moves from the first half of the samples first..last to the second.
double drift(const std::vector<double>& values, std::size_t first, std::size_t last) {
    const std::size_t middle = std::midpoint(first, last) + 1;
    double early = 0.0, late = 0.0;
    for (std::size_t i = first; i <= last; ++i) (i < middle ? early : late) += values[i];
    return std::abs(early / static_cast<double>(middle - first) - late / static_cast<double>(last - middle + 1));
}

/// The index from which the probe plainly lives.
std::optional<std::size_t> alive_from(const Samples& lambda) {
    std::size_t first = 0;
    for (std::size_t i = 0; i < lambda.times.size(); ++i) {
        while (lambda.times[i] - lambda.times[first] > kAliveSeconds) ++first;
        if (lambda.times[i] - lambda.times[first] < 0.6 * kAliveSeconds || i - first < 3) continue;
        const auto [low, high] = std::minmax_element(lambda.values.begin() + static_cast<std::ptrdiff_t>(first),
                                                     lambda.values.begin() + static_cast<std::ptrdiff_t>(i) + 1);
        const double range = *high - *low;
        const bool moves = range >= kAliveMoves && range <= kAliveSettled && *high < kAliveHighest;
        if (moves && drift(lambda.values, first, i) < kAliveDrift) return i;
    }
    return std::nullopt;
}

/// The probe's samples in the first minute, from where it lives, without overrun and full load.
Samples judged_lambda(const RunView& run, const Channel& probe, double start) {
    Samples all = samples_within(run.log(), probe, start + kFlareSeconds, start + kWatchedSeconds);
    Samples kept;
    const auto from = alive_from(all);
    if (!from) return kept;
    const std::vector<bool> cut = overrun(run, all.times);
    const std::vector<double> calm = median_of_three(all.values);
    for (std::size_t i = *from; i < all.times.size(); ++i) {
        const double t = all.times[i];
        const auto within = [&](const Pull& pull) { return t >= pull.start_s && t <= pull.end_s; };
        if (cut[i] || std::ranges::any_of(run.pulls, within)) continue;
        kept.times.push_back(t);
        kept.values.push_back(calm[i]);
    }
    return kept;
}

std::optional<Finding> one_side(const RunView& run, const Samples& lambda, double start, bool lean,
                                const Limit& limit) {
    Samples sided = lambda;
    const double sign = lean ? 1.0 : -1.0;
    for (double& value : sided.values) value *= sign;
    const auto held = highest_held(sided.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    const double value = sign * held->level;
    const Verdict judged = verdict(value, limit, lean ? Side::above : Side::below);
    Finding found = finding(sided.times[held->worst], value, judged);
    found.log = run.index;
    found.source = limit.source;
    found.duration_s =
        judged.severity == Severity::clear ? 0.0 : time_above(sided.series(), held->worst, sign * judged.limit);
    found.text =
        judged.severity == Severity::clear
            ? fmt::format("lambda keeps to {:.2f} after the cold start", value)
            : fmt::format("lambda is {:.2f} for {:.0f} s, {:.0f} s after a cold start, {:.2f} is the limit; {}", value,
                          found.duration_s, found.time_s - start, judged.limit,
                          lean ? "too little fuel while cold: meter, leaks, warm-up fuel"
                               : "too much fuel while cold: warm-up fuel, injectors, coolant sensor");
    return found;
}

}  // namespace

std::optional<Obstacle> cold_start_obstacle(const RunView& run) {
    const auto start = started_cold(run);
    if (!start) return Obstacle{{}, "the log holds no cold start (coolant below 40 C)"};
    for (const Channel* probe : run.all(Signal::lambda))
        if (judged_lambda(run, *probe, start->time_s).times.size() > 3) return std::nullopt;
    return Obstacle{{}, "the lambda probe is not alive in the minute after the cold start"};
}

std::vector<Finding> cold_start(std::span<const RunView> runs, const Check&, const Limit& lean) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const auto start = started_cold(run);
        if (!start) continue;
        const Limit& rich = run.job->limits.at("cold_start_lambda_min");
        for (const Channel* probe : run.all(Signal::lambda)) {
            const Samples lambda = judged_lambda(run, *probe, start->time_s);
            if (auto found = one_side(run, lambda, start->time_s, true, lean)) findings.push_back(std::move(*found));
            if (start->coolant_c < kFreezingC) continue;
            if (auto found = one_side(run, lambda, start->time_s, false, rich)) findings.push_back(std::move(*found));
        }
    }
    return findings;
}

}  // namespace revwright
