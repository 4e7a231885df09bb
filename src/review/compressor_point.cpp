#include "review/compressor_point.h"

#include <algorithm>
#include <cmath>

#include "review/window.h"

namespace revwright {
namespace {

// Standard deviations. Our choices, common practice, no source.
constexpr double kFlowSd = 0.03;   // of an air meter, and of what the map's own flow is worth
constexpr double kInletSdK = 5.0;  // air under the bonnet is warmer than outside
constexpr double kBoostSdKpa = 1.0;
constexpr double kAmbientSdKpa = 0.7;  // logged or stated; else
constexpr double kGuessedSdKpa = 2.5;  // by altitude
constexpr double kDropSd = 0.3;        // of a stated pressure drop
constexpr double kReachSeconds = 1.0;

const Hardware* part_of(const JobSheet& job, HardwareKind kind) {
    const auto found = std::ranges::find(job.hardware, kind, &Hardware::kind);
    return found == job.hardware.end() ? nullptr : &*found;
}

/// Pressure lost in a part at a flow; nothing is known of it: none.
double drop_kpa(const JobSheet& job, HardwareKind kind, double kg_s) {
    const Hardware* part = part_of(job, kind);
    if (!part || !part->pressure_drop_kpa || !part->pressure_drop_kpa->at_kg_s) return 0.0;
    const double share = kg_s / *part->pressure_drop_kpa->at_kg_s;
    return part->pressure_drop_kpa->after * share * share;
}

/// Air flow at the meter within the pull, logged or worked out from charge.
Samples flow_in(const PullView& view) {
    const Signal meters[] = {Signal::air_mass_flow_g_s, Signal::air_per_stroke_mg, Signal::charge_pct};
    if (std::ranges::none_of(meters, [&](Signal signal) { return view.run->find(signal) != nullptr; })) return {};
    if (view.run->find(Signal::air_mass_flow_g_s)) return view.samples(Signal::air_mass_flow_g_s);
    const auto whole = samples_of(view.run->log(), view.job().engine, {Signal::air_mass_flow_g_s, 0});
    Samples found;
    for (std::size_t i = 0; whole && i < whole->times.size(); ++i) {
        if (whole->times[i] < view.pull.start_s || whole->times[i] > view.pull.end_s) continue;
        found.times.push_back(whole->times[i]);
        found.values.push_back(whole->values[i]);
    }
    return found;
}

}  // namespace

const Hardware* turbocharger_of(const JobSheet& job) { return part_of(job, HardwareKind::turbocharger); }

std::optional<FittedCompressor> fitted_compressor(const RunView& run) {
    const Hardware* turbo = turbocharger_of(*run.job);
    const auto ambient = run.ambient_temp_c();
    if (!turbo || !turbo->compressor || !turbo->reference_temp_k || !turbo->reference_pressure_kpa || !ambient)
        return std::nullopt;
    return FittedCompressor{&*turbo->compressor,
                            {kelvin(*turbo->reference_temp_k), kilopascal(*turbo->reference_pressure_kpa)},
                            turbo->max_speed_rpm.value_or(0.0),
                            celsius(ambient->value)};
}

std::vector<CompressorPoint> compressor_points(const PullView& view, const FittedCompressor& compressor) {
    const JobSheet& job = view.job();
    const Ambient ambient = view.run->ambient_pressure_kpa();
    const double ambient_sd = ambient.known() ? kAmbientSdKpa : kGuessedSdKpa;
    const double slowest = compressor.map->lines().front().speed_rpm;
    const Samples flow = flow_in(view), boost = view.boost();
    const std::vector<double> calm = median_of_three(flow.values);
    const std::vector<double> boosted = values_along(boost.series(), flow.times, kReachSeconds);
    std::vector<CompressorPoint> points;
    for (std::size_t i = 0; i < calm.size(); ++i) {
        const double kg_s = calm[i] * 1e-3;
        if (!(kg_s > 0.0) || !(boosted[i] > 0.0)) continue;
        const double intake = drop_kpa(job, HardwareKind::intake, kg_s);
        const double cooler = drop_kpa(job, HardwareKind::charge_cooler, kg_s);
        const double inlet = ambient.value - intake;
        if (!(inlet > 0.0)) continue;
        CompressorPoint point{.time_s = flow.times[i], .flow = {}, .ratio = (boosted[i] + cooler) / inlet};
        point.flow = corrected_flow({kg_s}, compressor.inlet, kilopascal(inlet), compressor.reference);
        if (point.ratio < map_ratio(*compressor.map, slowest, point.flow)) continue;
        const double inlet_sd = std::hypot(ambient_sd, kDropSd * intake) / inlet;
        point.flow_sd = std::hypot(kFlowSd, 0.5 * kInletSdK / compressor.inlet.si, inlet_sd);
        point.ratio_sd = point.ratio * std::hypot(std::hypot(kBoostSdKpa, kDropSd * cooler) / boosted[i], inlet_sd);
        points.push_back(point);
    }
    return points;
}

Modelled spread(const CompressorPoint& point, const std::function<double(MassFlow, double ratio)>& figure) {
    const double mean = figure(point.flow, point.ratio);
    const double by_flow = figure(point.flow * (1.0 + point.flow_sd), point.ratio) - mean;
    const double by_ratio = figure(point.flow, point.ratio + point.ratio_sd) - mean;
    return {mean, std::hypot(by_flow, by_ratio)};
}

}  // namespace revwright
