#include "review/intervention.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

#include "review/checks.h"
#include "review/speed_limiter.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kStartSeconds = 0.4;  // the request is still building up
constexpr double kEndSeconds = 0.3;    // before a lift-off or shift it is taken back by design
constexpr double kFallWithin = 0.35;   // seconds, two samples at least: with engine speed it falls more slowly
constexpr double kFallShare = 0.10;    // of the request before
constexpr double kFallNm = 15.0;
constexpr double kGivenBackShare = 0.05;  // but for this share it is back
constexpr double kHoldSeconds = 0.2;      // by the contract
constexpr double kLimiterNearRpm = 150.0;
constexpr double kNearSeconds = 0.3;  // around a refused stretch

bool fallen(double before, double now) { return before - now >= std::max(kFallNm, kFallShare * before); }

/// Samples of the request that may be judged.
Samples judged_request(const PullView& view) {
    const Samples request = view.samples(Signal::torque_request_nm, kStartSeconds, kEndSeconds);
    const double limiter = engine_speed_limit_rpm(*view.run);
    const Channel* speed = view.run->find(Signal::engine_speed_rpm);
    Samples kept;
    const std::vector<double> rpm =
        speed ? values_along(view.run->log().series(*speed), request.times, 1.0) : std::vector<double>{};
    for (std::size_t i = 0; i < rpm.size(); ++i) {
        if (limiter > 0.0 && rpm[i] > limiter - kLimiterNearRpm) break;
        kept.times.push_back(request.times[i]);
        kept.values.push_back(request.values[i]);
    }
    kept.values = median_of_three(kept.values);
    return kept;
}

/// The highest request of the moments before sample i.
double before(const Samples& request, std::size_t i) {
    double highest = request.values[i];
    for (std::size_t j = i; j-- > 0;) {
        if (request.times[i] - request.times[j] > kFallWithin && i - j > 1) break;
        highest = std::max(highest, request.values[j]);
    }
    return highest;
}

}  // namespace

std::vector<RequestFall> request_falls(const PullView& view) {
    const Samples request = judged_request(view);
    const double step = typical_interval(request.times);
    std::vector<RequestFall> falls;
    for (std::size_t i = 1; i < request.times.size(); ++i) {
        const double level = before(request, i);
        if (!fallen(level, request.values[i])) continue;
        RequestFall fall{request.times[i], request.times[i], level, request.values[i]};
        for (; i < request.times.size(); ++i) {
            fall.to_s = request.times[i];
            fall.given_back = request.values[i] >= (1.0 - kGivenBackShare) * level;
            if (fall.given_back) break;
            fall.lowest_nm = std::min(fall.lowest_nm, request.values[i]);
        }
        if (!fall.given_back) fall.to_s += step;
        if (fall.to_s - fall.from_s >= kHoldSeconds) falls.push_back(fall);
    }
    return falls;
}

namespace {

Finding of_fall(const RequestFall& fall, const Limit& limit, std::string_view cure) {
    const double threshold = limit.watch.value_or(0.0);
    // In its middle, or where it set in for good: the lowest value of a level stretch is a matter of chance.
    const double at = fall.given_back ? std::midpoint(fall.from_s, fall.to_s) : fall.from_s;
    Finding found = finding(at, fall.fall_nm(), {Severity::watch, threshold, threshold - fall.fall_nm()});
    found.duration_s = fall.to_s - fall.from_s;
    found.text = fmt::format("the torque request fell from {:.0f} to {:.0f} Nm for {:.1f} s under full pedal; {}",
                             fall.before_nm, fall.lowest_nm, found.duration_s, cure);
    return found;
}

Finding in_pull(const PullView& view, const Limit& limit) {
    const std::vector<RequestFall> falls = request_falls(view);
    const auto deepest = std::ranges::max_element(falls, std::less{}, &RequestFall::fall_nm);
    if (deepest == falls.end() || deepest->fall_nm() < limit.watch.value_or(0.0)) {
        Finding clear = finding(view.pull.start_s, 0.0, {Severity::clear, limit.watch.value_or(0.0), 0.0});
        clear.text = "the torque request stays as engine speed has it";
        return clear;
    }
    return of_fall(*deepest, limit,
                   deepest->given_back ? "traction, stability or gearbox control took it back for that long"
                                       : "it was not given back: a torque limit of the control unit sets in here");
}

/// What a stretch was refused for. It was plain enough there: the numbers are read around it.
std::optional<Finding> of_stretch(const RunView& run, const Excluded& excluded, const Limit& limit) {
    const Samples request = samples_within(run.log(), *run.find(Signal::torque_request_nm),
                                           excluded.start_s - kNearSeconds, excluded.end_s);
    if (request.times.empty()) return std::nullopt;
    const auto lowest = std::ranges::min_element(request.values) - request.values.begin();
    const double highest = *std::max_element(request.values.begin(), request.values.begin() + lowest + 1);
    RequestFall fall{excluded.start_s, excluded.end_s, highest, request.values[static_cast<std::size_t>(lowest)], true};
    // Where the piece before was no pull the stretch is longer than the fall.
    for (std::size_t i = 0; i < request.times.size(); ++i)
        if (fallen(highest, request.values[i])) {
            fall.from_s = request.times[i];
            break;
        }
    for (std::size_t i = request.times.size(); i-- > 0;)
        if (fallen(highest, request.values[i])) {
            fall.to_s = i + 1 < request.times.size() ? request.times[i + 1] : excluded.end_s;
            break;
        }
    if (fall.fall_nm() < limit.watch.value_or(0.0)) return std::nullopt;
    Finding found = of_fall(fall, limit, "traction, stability or gearbox control took it back: no pull is judged here");
    return found;
}

}  // namespace

std::vector<Finding> torque_intervention(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const auto add = [&](Finding found, std::optional<std::size_t> pull) {
            found.log = run.index;
            found.pull = pull;
            findings.push_back(std::move(found));
        };
        for (const Pull& pull : run.pulls) add(in_pull({&run, pull}, limit), pull.index);
        for (const Excluded& excluded : run.excluded)
            if (excluded.reason == ExclusionReason::intervention)
                if (auto found = of_stretch(run, excluded, limit)) add(std::move(*found), std::nullopt);
    }
    return findings;
}

}  // namespace revwright
