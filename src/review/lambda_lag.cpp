#include "review/lambda_lag.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "review/lag_fit.h"
#include "review/lag_model.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kReachSeconds = 1.0;
/// The change of the target at the start of a pull tells most.
constexpr double kBeforeSeconds = 0.5;
/// A target that moves less than this in every pull can not tell its delay from noise. Our choice.
constexpr double kLeastMovement = 0.02;
constexpr std::size_t kLeastSamples = 10;
constexpr std::size_t kMostPulls = 6;  // those whose target moves most; more add time, not knowledge

// Prior: METHODS 4.1 has 50 to 100 ms for the probe and 20 to 300 ms for one cycle and transport; 20 to 50 ms of
// transport at high flow is common practice, no source.
constexpr double kPriorLag = 0.075, kPriorTransport = 0.04, kPriorTotalSd = 0.04;
constexpr double kPriorCyclesPerSecond = 35.0;  // 4,200 rpm, where speed is not known

/// Air mass flow in g/s, else engine cycles per second.
std::vector<double> flow_along(const Log& log, std::span<const double> times) {
    if (const Channel* flow = log.find(Signal::air_mass_flow_g_s))
        return values_along(log.series(*flow), times, kReachSeconds);
    const Channel* speed = log.find(Signal::engine_speed_rpm);
    if (!speed) return std::vector<double>(times.size(), std::numeric_limits<double>::quiet_NaN());
    std::vector<double> cycles = values_along(log.series(*speed), times, kReachSeconds);
    for (double& value : cycles) value /= 120.0;
    return cycles;
}

const Channel* first_lambda(const Log& log) {
    for (const int bank : {0, 1, 2})
        if (const Channel* channel = log.find(ChannelKey{Signal::lambda, bank})) return channel;
    return nullptr;
}

std::vector<LagSegment> segments_of(const Log& log, std::span<const Pull> pulls) {
    const Channel* lambda = first_lambda(log);
    const Channel* target = log.find(Signal::lambda_target);
    std::vector<LagSegment> segments;
    if (!lambda || !target) return segments;
    for (const Pull& pull : pulls) {
        const double from = pull.start_s - kBeforeSeconds;
        Samples shown = samples_within(log, *lambda, from, pull.fuelled_to_s());
        LagSegment segment;
        segment.target = samples_within(log, *target, from - kReachSeconds, pull.fuelled_to_s());
        if (shown.times.size() < kLeastSamples || segment.target.times.size() < kLeastSamples) continue;
        segment.flow = flow_along(log, shown.times);
        segment.times = std::move(shown.times);
        segment.lambda = std::move(shown.values);
        const auto [low, high] = std::ranges::minmax(segment.target.values);
        segment.movement = high - low;
        segments.push_back(std::move(segment));
    }
    return segments;
}

double mid_of(std::span<const LagSegment> segments) {
    std::vector<double> flows;
    for (const LagSegment& segment : segments)
        for (const double flow : segment.flow)
            if (flow > 0.0) flows.push_back(flow);
    return flows.empty() ? 1.0 : median(std::move(flows));
}

LambdaLag prior_at(const Log& log, double mid_flow) {
    const bool by_cycles = log.find(Signal::air_mass_flow_g_s) == nullptr;
    const double cycle = 1.0 / (by_cycles && mid_flow > 1.0 ? mid_flow : kPriorCyclesPerSecond);
    LambdaLag prior;
    prior.delay_s = cycle + kPriorTransport;
    prior.flow_term = 0.5 * prior.delay_s * mid_flow;
    prior.lag_s = kPriorLag;
    prior.total_sd_s = kPriorTotalSd;
    prior.mid_flow = mid_flow;
    return prior;
}

}  // namespace

LambdaLag identify_lambda_lag(const Log& log, std::span<const Pull> pulls, const Engine&) {
    std::vector<LagSegment> segments = segments_of(log, pulls);
    const double mid_flow = mid_of(segments);
    LambdaLag lag = prior_at(log, mid_flow);
    std::ranges::stable_sort(segments, std::greater{}, &LagSegment::movement);
    if (segments.size() > kMostPulls) segments.resize(kMostPulls);
    if (!segments.empty() && segments.front().movement >= kLeastMovement) lag = fit_lag(segments, mid_flow, lag);
    lag.flow_logged = log.find(Signal::air_mass_flow_g_s) != nullptr;
    return lag;
}

std::vector<double> expected_lambda(const Log& log, const LambdaLag& lag, const Channel& lambda, const Engine&) {
    const Channel* target = log.find(Signal::lambda_target);
    if (!target) return {};
    const Log::Span span = log.span();
    const Samples wanted = samples_within(log, *target, span.start_s, span.end_s);
    const Series shown = log.series(lambda);
    return probe_response(wanted.series(), shown.times, flow_along(log, shown.times), lag);
}

LambdaPair lambda_within(const Log& log, const LambdaLag& lag, const Channel& lambda, double from, double to) {
    const Channel* target = log.find(Signal::lambda_target);
    LambdaPair pair{samples_within(log, lambda, from - kReachSeconds, to), {}};
    if (target) {
        const Samples wanted = samples_within(log, *target, from - 2.0 * kReachSeconds, to + kReachSeconds);
        pair.expected = probe_response(wanted.series(), pair.measured.times, flow_along(log, pair.measured.times), lag);
    } else {
        pair.expected.assign(pair.measured.times.size(), std::numeric_limits<double>::quiet_NaN());
    }
    const auto before = std::ranges::lower_bound(pair.measured.times, from) - pair.measured.times.begin();
    for (auto* values : {&pair.measured.times, &pair.measured.values, &pair.expected})
        values->erase(values->begin(), values->begin() + before);
    return pair;
}

}  // namespace revwright
