#include "naming/moments.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace revwright {
namespace {

// Our choice, common practice, no source.
constexpr double kOffRpm = 50.0, kTurnsRpm = 450.0, kIdleHighestRpm = 1300.0;
constexpr double kIdleHighestUntoldRpm = 1150.0;  // where neither pedal nor throttle is known
constexpr double kFullPct = 90.0, kClosedBandPct = 2.0;
constexpr double kClosedHighestPct = 35.0;     // a raw pedal sensor rests at up to a third of its span
constexpr double kMostBetweenSamples_s = 3.0;  // a longer gap belongs to no stretch

/// Samples of a claimed channel, in our unit.
struct Told {
    const Claim* claim = nullptr;
    Series series = {};
    double at(double seconds) const { return claim->in_our_unit(value_at(series, seconds)); }
};

std::optional<Told> told(const Log& log, const std::vector<Claim>& claims, Signal signal) {
    const auto found = std::ranges::find(claims, ChannelKey{signal, 0}, &Claim::key);
    if (found == claims.end()) return std::nullopt;
    return Told{&*found, log.series(log.channels[found->channel])};
}

/// How far the driver's foot, or the throttle, is.
struct Foot {
    Told told;
    double closed_below = 0.0;
};

std::optional<Foot> foot_of(const Log& log, const std::vector<Claim>& claims) {
    for (const Signal signal : {Signal::pedal_pct, Signal::throttle_pct}) {
        const auto channel = told(log, claims, signal);
        if (!channel) continue;
        const SampleSummary values = summary_of(channel->series.values);
        if (values.samples == 0) continue;
        const double rest = channel->claim->in_our_unit(values.low);
        if (rest <= kClosedHighestPct) return Foot{*channel, rest + kClosedBandPct};
    }
    return std::nullopt;
}

void extend(Stretches& stretches, double from, double to) {
    if (!stretches.empty() && stretches.back().second == from)
        stretches.back().second = to;
    else
        stretches.emplace_back(from, to);
}

/// One of the states an engine can be in at a sample.
enum class State { none, off, closed, idle, full, part };

State state_at(double rpm, const std::optional<Foot>& foot, double seconds) {
    if (std::isnan(rpm)) return State::none;
    if (rpm < kOffRpm) return State::off;
    if (rpm < kTurnsRpm) return State::none;
    if (!foot) return rpm < kIdleHighestUntoldRpm ? State::idle : State::none;
    const double opening = foot->told.at(seconds);
    if (opening <= foot->closed_below) return rpm <= kIdleHighestRpm ? State::idle : State::closed;
    if (opening >= kFullPct) return State::full;
    if (std::isnan(opening)) return State::none;
    return rpm > kIdleHighestRpm ? State::part : State::none;
}

}  // namespace

EngineMoments moments_of(const Log& log, const std::vector<Claim>& claims) {
    EngineMoments moments;
    const auto rpm = told(log, claims, Signal::engine_speed_rpm);
    if (!rpm) return moments;
    const auto foot = foot_of(log, claims);
    State before = State::none;
    for (std::size_t i = 0; i < rpm->series.size(); ++i) {
        const double t = rpm->series.times[i];
        const State now = state_at(rpm->claim->in_our_unit(rpm->series.values[i]), foot, t);
        const double from = i == 0 ? t : rpm->series.times[i - 1];
        if (now == before && i > 0 && t - from <= kMostBetweenSamples_s) {
            if (now == State::off) extend(moments.off, from, t);
            if (now == State::idle) extend(moments.idle, from, t);
            if (now == State::idle || now == State::closed) extend(moments.closed, from, t);
            if (now == State::full) extend(moments.full, from, t);
            if (now == State::part) extend(moments.part, from, t);
        }
        before = now;
    }
    return moments;
}

}  // namespace revwright
