#include "review/filling.h"

#include <algorithm>
#include <cmath>

#include "physics/air.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kReachSeconds = 1.0;
constexpr double kSteadyKpaPerS = 15.0;
constexpr double kSlopeSeconds = 0.4;  // over which it must hold
constexpr double kRunningRpm = 600.0;
constexpr double kBinRpm = 250.0;
constexpr std::size_t kLeastInBin = 3;

/// Change per second around each time, over about kSlopeSeconds; NaN where it is not known.
std::vector<double> rates(const Series& series, const std::vector<double>& times) {
    std::vector<double> before = times, after = times;
    for (double& t : before) t -= 0.5 * kSlopeSeconds;
    for (double& t : after) t += 0.5 * kSlopeSeconds;
    const std::vector<double> from = values_along(series, before, kReachSeconds);
    std::vector<double> found = values_along(series, after, kReachSeconds);
    for (std::size_t i = 0; i < found.size(); ++i) found[i] = (found[i] - from[i]) / kSlopeSeconds;
    return found;
}

/// The meter's air per stroke, by whatever of it is logged.
struct MeterReading {
    const Channel* channel;
    double (*stroke_kg)(double value, double rpm, const Engine& engine);
};

std::optional<MeterReading> meter_of(const RunView& run) {
    if (const Channel* flow = run.find(Signal::air_mass_flow_g_s))
        return MeterReading{flow, [](double value, double rpm, const Engine& engine) {
                                return air_per_stroke(MassFlow{value * 1e-3}, EngineSpeed{rpm}, engine.cylinders).si;
                            }};
    if (const Channel* stroke = run.find(Signal::air_per_stroke_mg))
        return MeterReading{stroke, [](double value, double, const Engine&) { return value * 1e-6; }};
    if (const Channel* charge = run.find(Signal::charge_pct))
        return MeterReading{charge, [](double value, double, const Engine& engine) {
                                return air_at_charge(value, {engine.displacement_cm3 * 1e-6 / engine.cylinders}).si;
                            }};
    return std::nullopt;
}

/// Pressure in the manifold at these times; boost where that is not logged and the throttle is open.
std::vector<double> manifold_along(const RunView& run, const Channel& pressure, const std::vector<double>& times) {
    std::vector<double> kpa = values_along(run.log().series(pressure), times, kReachSeconds);
    const Channel* throttle = run.find(Signal::throttle_pct);
    if (pressure.key->signal == Signal::manifold_pressure_kpa || !throttle) return kpa;
    const std::vector<double> opening = values_along(run.log().series(*throttle), times, kReachSeconds);
    for (std::size_t i = 0; i < kpa.size(); ++i)
        if (!(opening[i] >= kOpenThrottlePct)) kpa[i] = NAN;
    return kpa;
}

}  // namespace

std::vector<Filling> fillings(const RunView& run, double from_s, double to_s) {
    const auto meter = meter_of(run);
    const Channel* pressure = run.find(Signal::manifold_pressure_kpa);
    if (!pressure) pressure = run.find(Signal::boost_pressure_kpa);
    const Channel *intake = run.find(Signal::intake_temp_c), *speed = run.find(Signal::engine_speed_rpm);
    if (!meter || !pressure || !intake || !speed) return {};
    const Samples read = samples_within(run.log(), *meter->channel, from_s, to_s);
    const std::vector<double> rpm = values_along(run.log().series(*speed), read.times, kReachSeconds);
    const std::vector<double> kpa = manifold_along(run, *pressure, read.times);
    const std::vector<double> moves = rates(run.log().series(*pressure), read.times);
    const std::vector<double> kelvins = values_along(run.log().series(*intake), read.times, 2.0 * kReachSeconds);
    const std::vector<double> warms = rates(run.log().series(*intake), read.times);
    const Engine& engine = run.job->engine;
    std::vector<Filling> found;
    for (std::size_t i = 0; i < read.times.size(); ++i) {
        if (!(rpm[i] > kRunningRpm) || !(kpa[i] > 0.0) || !(std::abs(moves[i]) <= kSteadyKpaPerS)) continue;
        if (!std::isfinite(kelvins[i])) continue;
        const Mass full = trapped_air({1.0}, kilopascal(kpa[i]), celsius(kelvins[i]),
                                      {engine.displacement_cm3 * 1e-6 / engine.cylinders});
        const double value = meter->stroke_kg(read.values[i], rpm[i], engine) / full.si;
        if (!std::isfinite(value)) continue;
        found.push_back({read.times[i], rpm[i], kpa[i], value, std::isfinite(warms[i]) ? warms[i] : 0.0});
    }
    return found;
}

FillingCurve::FillingCurve(const std::vector<Filling>& samples) {
    std::map<int, std::vector<double>> bins;
    for (const Filling& sample : samples)
        bins[static_cast<int>(std::lround(sample.speed_rpm / kBinRpm))].push_back(sample.value);
    for (auto& [bin, values] : bins)
        if (values.size() >= kLeastInBin) medians_.emplace(bin, median(std::move(values)));
}

std::optional<double> FillingCurve::at(double speed_rpm) const {
    const double place = speed_rpm / kBinRpm;
    const auto above = medians_.lower_bound(static_cast<int>(std::ceil(place)));
    const bool has_above = above != medians_.end() && above->first - place <= 1.0;
    const bool has_below = above != medians_.begin() && place - std::prev(above)->first <= 1.0;
    if (has_above && has_below) {
        const auto [low, low_value] = *std::prev(above);
        return std::lerp(low_value, above->second, (place - low) / (above->first - low));
    }
    if (has_above) return above->second;
    if (has_below) return std::prev(above)->second;
    return std::nullopt;
}

}  // namespace revwright
