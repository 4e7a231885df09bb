#include "review/derived.h"

#include <cmath>
#include <limits>

#include "physics/air.h"
#include "review/window.h"

namespace revwright {
namespace {

/// Two samples farther apart than this say nothing about the time between them.
constexpr double kReachSeconds = 1.0;
/// Below this the engine does not run.
constexpr double kRunningRpm = 200.0;

Samples logged(const Log& log, const Channel& channel) {
    const Log::Span span = log.span();
    return samples_within(log, channel, span.start_s, span.end_s);
}

Volume swept_per_cylinder(const Engine& engine) { return {engine.displacement_cm3 * 1e-6 / engine.cylinders}; }

/// value(sample, other) at each sample of `channel` where the other channel is known.
template <class Convert>
std::optional<Samples> combine(const Log& log, Signal of, Signal with, Convert convert) {
    const Channel* channel = log.find(of);
    const Channel* other = log.find(with);
    if (!channel || !other) return std::nullopt;
    const Samples from = logged(log, *channel);
    const std::vector<double> along = values_along(log.series(*other), from.times, kReachSeconds);
    Samples found;
    for (std::size_t i = 0; i < from.times.size(); ++i) {
        const double value = convert(from.values[i], along[i]);
        if (!std::isfinite(value)) continue;
        found.times.push_back(from.times[i]);
        found.values.push_back(value);
    }
    return found.times.empty() ? std::nullopt : std::optional(std::move(found));
}

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

std::optional<Samples> stroke_from_flow(const Log& log, const Engine& engine) {
    return combine(log, Signal::air_mass_flow_g_s, Signal::engine_speed_rpm, [&](double flow, double rpm) {
        if (!(rpm > kRunningRpm)) return kNone;
        return air_per_stroke(MassFlow{flow * 1e-3}, EngineSpeed{rpm}, engine.cylinders).si * 1e6;
    });
}

std::optional<Samples> scaled(const Log& log, Signal of, double (*convert)(double, const Engine&),
                              const Engine& engine) {
    const Channel* channel = log.find(of);
    if (!channel) return std::nullopt;
    Samples found = logged(log, *channel);
    for (double& value : found.values) value = convert(value, engine);
    return found;
}

double charge_of_stroke(double mg, const Engine& engine) {
    return charge_percent(Mass{mg * 1e-6}, swept_per_cylinder(engine));
}
double stroke_of_charge(double pct, const Engine& engine) {
    return air_at_charge(pct, swept_per_cylinder(engine)).si * 1e6;
}

std::optional<Samples> charge(const Log& log, const Engine& engine) {
    if (auto found = scaled(log, Signal::air_per_stroke_mg, charge_of_stroke, engine)) return found;
    auto found = stroke_from_flow(log, engine);
    if (found)
        for (double& value : found->values) value = charge_of_stroke(value, engine);
    return found;
}

std::optional<Samples> stroke(const Log& log, const Engine& engine) {
    if (auto found = scaled(log, Signal::charge_pct, stroke_of_charge, engine)) return found;
    return stroke_from_flow(log, engine);
}

std::optional<Samples> flow(const Log& log, const Engine& engine) {
    const bool strokes = log.find(Signal::air_per_stroke_mg) != nullptr;
    const Signal from = strokes ? Signal::air_per_stroke_mg : Signal::charge_pct;
    return combine(log, from, Signal::engine_speed_rpm, [&](double value, double rpm) {
        if (!(rpm > kRunningRpm)) return kNone;
        const double mg = strokes ? value : stroke_of_charge(value, engine);
        return air_mass_flow(Mass{mg * 1e-6}, EngineSpeed{rpm}, engine.cylinders).si * 1e3;
    });
}

std::optional<Samples> boost(const Log& log) {
    return combine(log, Signal::manifold_pressure_kpa, Signal::throttle_pct,
                   [](double kpa, double throttle) { return throttle >= kOpenThrottlePct ? kpa : kNone; });
}

}  // namespace

std::optional<Samples> samples_of(const Log& log, const Engine& engine, ChannelKey key) {
    if (const Channel* channel = log.find(key)) {
        Samples found = logged(log, *channel);
        if (!found.times.empty()) return found;
    }
    if (key.part != 0) return std::nullopt;
    switch (key.signal) {
        case Signal::charge_pct:
            return charge(log, engine);
        case Signal::air_per_stroke_mg:
            return stroke(log, engine);
        case Signal::air_mass_flow_g_s:
            return flow(log, engine);
        case Signal::boost_pressure_kpa:
            return boost(log);
        default:
            return std::nullopt;
    }
}

}  // namespace revwright
