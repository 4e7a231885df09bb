#include "rig/air_path.h"

#include <algorithm>
#include <cmath>

namespace revwright::rig {
namespace {

constexpr double kGasConstant = 287.05287;  // dry air, ISO 2533
constexpr double kHeatCapacity = 1005.0;
constexpr double kWastegateActuatorLag = 0.10;
constexpr double kManifoldPerDisplacement = 2.0;  // volume behind the throttle
constexpr double kFullThrottleArea = 0.85;        // effective m2 per m3 of displacement

/// Flow function of a throttle, subsonic and choked, gamma 1.4; made straight near equal pressures, where its slope
/// would be infinite.
double flow_function(double ratio) {
    constexpr double kStraightFrom = 0.985;
    constexpr double kChoked = 0.5283;
    const auto exact = [](double r) { return std::sqrt(7.0 * (std::pow(r, 2.0 / 1.4) - std::pow(r, 2.4 / 1.4))); };
    static const double at_straight = exact(kStraightFrom);
    if (ratio >= 1.0) return 0.0;
    if (ratio > kStraightFrom) return at_straight * (1.0 - ratio) / (1.0 - kStraightFrom);
    if (ratio <= kChoked) return 0.68473;
    return exact(ratio);
}

double after_over_before(const std::optional<BeforeAfter>& change) {
    return change && change->before > 0.0 ? change->after / change->before : 1.0;
}

double reference_flow_drop(const BeforeAfter& change, double kpa, double full_flow) {
    const double at = change.at_kg_s.value_or(full_flow);
    return kpa * (full_flow / at) * (full_flow / at);
}

void fit_hardware(const Hardware& part, AirPathData& data) {
    switch (part.kind) {
        case HardwareKind::intake:
            if (part.pressure_drop_kpa)
                data.intake_drop_kpa =
                    reference_flow_drop(*part.pressure_drop_kpa, part.pressure_drop_kpa->after, data.full_flow_kg_s);
            break;
        case HardwareKind::exhaust:
            if (part.pressure_drop_kpa)
                data.exhaust_drop_kpa =
                    reference_flow_drop(*part.pressure_drop_kpa, part.pressure_drop_kpa->after, data.full_flow_kg_s);
            break;
        case HardwareKind::charge_cooler:
            data.cooler_effectiveness_factor = after_over_before(part.effectiveness);
            break;
        case HardwareKind::air_meter:
            if (!part.rescaled.value_or(false)) {
                const double bore = after_over_before(part.bore_mm);
                data.meter_area_factor = bore * bore;
            }
            break;
        case HardwareKind::turbocharger:
        case HardwareKind::injectors:
        case HardwareKind::fuel_pump:
            break;  // not modelled; docs/rig.md says so
    }
}

double compressor_efficiency(double air_flow_kg_s, double ratio, const AirPathData& data, const Hidden& car) {
    const double flow = air_flow_kg_s / data.full_flow_kg_s - 0.72;
    const double away = ratio - 1.9;
    return std::max(0.45, car.compressor_factor * (0.74 - 0.28 * flow * flow - 0.05 * away * away));
}

double settled_ratio(const AirInput& in, double inlet_kpa, const AirPathData& data, const Hidden& car,
                     const AirState& state) {
    if (!data.turbocharged) return 1.0;
    const double shut = shut_pressure_ratio(state.air_flow_kg_s, data, car);
    const double share = std::min(1.0, car.wastegate_factor * wastegate_share(state.duty_seen));
    const double ratio = 1.0 + (shut - 1.0) * share;
    return std::clamp(ratio, in.boost_floor_kpa / inlet_kpa, std::max(1.0, in.boost_ceiling_kpa / inlet_kpa));
}

void step_turbo(double dt_s, const AirInput& in, double inlet_kpa, const AirPathData& data, const Hidden& car,
                AirState& state) {
    state.duty_seen += dt_s * (in.wastegate_duty - state.duty_seen) / kWastegateActuatorLag;
    const double flow = std::max(state.air_flow_kg_s / data.full_flow_kg_s, 0.05);
    const double freer = (data.exhaust_drop_kpa - data.standard_exhaust_drop_kpa) / 100.0;
    const double lag = car.turbo_lag_factor * (1.0 + freer) * (0.17 + 0.085 / flow);
    const double towards = settled_ratio(in, inlet_kpa, data, car, state);
    state.pressure_ratio += dt_s * (towards - state.pressure_ratio) / lag;
}

void step_charge_temperature(double dt_s, const AirInput& in, const AirPathData& data, const Hidden& car,
                             const Day& day, AirState& state) {
    const double inlet_k = day.ambient_temp_c + 273.15 + 6.0 - std::min(4.0, 0.2 * in.road_speed_m_s);
    const double rise = std::pow(std::max(state.pressure_ratio, 1.0), 0.2857) - 1.0;
    const double hot_k =
        inlet_k * (1.0 + rise / compressor_efficiency(state.air_flow_kg_s, state.pressure_ratio, data, car));
    const double metal_k = state.cooler_temp_c + 273.15;
    const double effectiveness = std::min(0.95, car.cooler_effectiveness * data.cooler_effectiveness_factor);
    const double out_k = data.turbocharged ? hot_k - effectiveness * (hot_k - metal_k) : inlet_k;
    const double heat_w = state.air_flow_kg_s * kHeatCapacity * (hot_k - out_k);
    // Air over the cooler carries heat away with road speed; standing, the engine bay warms it.
    const double scale = data.full_flow_kg_s / 0.18;
    const double around_c = day.ambient_temp_c + (in.road_speed_m_s < 3.0 ? 12.0 : 2.0);
    const double away_w = scale * (130.0 + 24.0 * in.road_speed_m_s) * (state.cooler_temp_c - around_c);
    state.cooler_temp_c += dt_s * (heat_w - away_w) / (car.cooler_heat_j_per_k * scale);
    const double target_c = out_k - 273.15 + in.extra_charge_k;
    state.charge_temp_c += dt_s * (target_c - state.charge_temp_c) / 0.25;
}

void step_manifold(double dt_s, const AirInput& in, double engine_kg_s_per_kpa, const AirPathData& data,
                   AirState& state) {
    const double charge_k = state.charge_temp_c + 273.15;
    const double area = kFullThrottleArea * data.displacement_m3 * throttle_area(in.throttle_pct);
    const double full = area * state.boost_kpa * 1e3 / std::sqrt(kGasConstant * charge_k);
    const auto inflow = [&](double kpa) { return full * flow_function(kpa / state.boost_kpa); };
    const double p = state.manifold_kpa;
    const double slope = (inflow(p + 0.05) - inflow(p - 0.05)) / 0.1 - engine_kg_s_per_kpa;
    const double per_kg = kGasConstant * charge_k / (kManifoldPerDisplacement * data.displacement_m3) * 1e-3;
    const double change = per_kg * (inflow(p) - engine_kg_s_per_kpa * p);
    state.manifold_kpa =
        std::clamp(p + dt_s * change / (1.0 - dt_s * per_kg * std::min(slope, 0.0)), 8.0, state.boost_kpa);
}

}  // namespace

AirPathData air_path_data(const JobSheet& job, bool fitted) {
    AirPathData data;
    data.displacement_m3 = job.engine.displacement_cm3 * 1e-6;
    data.cylinders = job.engine.cylinders;
    data.compression_ratio = job.engine.compression_ratio;
    data.turbocharged = job.engine.turbocharged();
    data.full_flow_kg_s = (data.turbocharged ? 0.18 : 0.11) * data.displacement_m3 / 0.001998;
    for (const Hardware& part : job.hardware) {
        if (!part.pressure_drop_kpa) continue;
        const double before =
            reference_flow_drop(*part.pressure_drop_kpa, part.pressure_drop_kpa->before, data.full_flow_kg_s);
        if (part.kind == HardwareKind::intake) data.intake_drop_kpa = before;
        if (part.kind == HardwareKind::exhaust) data.exhaust_drop_kpa = data.standard_exhaust_drop_kpa = before;
    }
    if (fitted)
        for (const Hardware& part : job.hardware) fit_hardware(part, data);
    return data;
}

double volumetric_efficiency(double rpm, double manifold_kpa, double exhaust_kpa, double compression_ratio) {
    // Own speed shape with its best near 4200 rpm; residual term as METHODS: (rc - (pe/pi)^(1/1.3)) / (rc - 1).
    const double away = (rpm - 4200.0) / 1000.0;
    const double filling = 0.955 - (away < 0.0 ? 0.0105 : 0.0155) * away * away;
    const double residual = std::pow(std::clamp(exhaust_kpa / manifold_kpa, 0.5, 6.0), 1.0 / 1.3);
    return filling * (compression_ratio - residual) / (compression_ratio - 1.0);
}

double exhaust_pressure_kpa(double air_flow_kg_s, double pressure_ratio, double rpm, const AirPathData& data,
                            double ambient_kpa) {
    const double flow = air_flow_kg_s / data.full_flow_kg_s;
    const double after = ambient_kpa + data.exhaust_drop_kpa * flow * flow;
    return after * (1.0 + 0.75 * (pressure_ratio - 1.0) * (0.6 + 0.5 * rpm / 6000.0));
}

double shut_pressure_ratio(double air_flow_kg_s, const AirPathData& data, const Hidden& car) {
    const double flow = air_flow_kg_s / data.full_flow_kg_s;
    const double spool = 1.0 - std::exp(-std::pow(flow / (0.472 * car.turbo_flow_factor), 1.8));
    const double choke = 1.1 * std::max(0.0, flow - 0.89);
    // A freer exhaust leaves the turbine more expansion: more boost at the same duty.
    const double freer = 0.5 * (data.standard_exhaust_drop_kpa - data.exhaust_drop_kpa) / 100.0 * flow * flow;
    return 1.0 + (1.95 * spool - choke) * (1.0 + freer);
}

double wastegate_share(double duty) { return 0.35 + 0.65 * duty; }

double nominal_duty(double boost_kpa, double air_flow_kg_s, const AirPathData& data) {
    const double flow = air_flow_kg_s / data.full_flow_kg_s;
    const double inlet = 99.5 - data.intake_drop_kpa * flow * flow;
    const double shut = shut_pressure_ratio(air_flow_kg_s, data, Hidden{});
    const double ratio = (boost_kpa + 4.0 * flow * flow) / inlet;
    return std::clamp(((ratio - 1.0) / std::max(shut - 1.0, 0.05) - 0.35) / 0.65, 0.0, 0.95);
}

double throttle_area(double throttle_pct) { return std::pow(std::clamp(throttle_pct, 0.5, 100.0) / 100.0, 2.2); }
double throttle_for_area(double area) { return 100.0 * std::pow(std::clamp(area, 1e-5, 1.0), 1.0 / 2.2); }

double area_for_manifold(double manifold_kpa, double air_flow_kg_s, const AirState& state, const AirPathData& data) {
    const double ratio = manifold_kpa / state.boost_kpa;
    if (ratio >= 0.995) return 1.0;
    const double charge_k = state.charge_temp_c + 273.15;
    const double full =
        kFullThrottleArea * data.displacement_m3 * state.boost_kpa * 1e3 / std::sqrt(kGasConstant * charge_k);
    return std::min(1.0, air_flow_kg_s / (full * flow_function(ratio)));
}

void step_air(double dt_s, const AirInput& in, const AirPathData& data, const Hidden& car, const Day& day,
              AirState& state) {
    const double flow = state.air_flow_kg_s / data.full_flow_kg_s;
    const double inlet_kpa = day.ambient_pressure_kpa - data.intake_drop_kpa * flow * flow;
    step_turbo(dt_s, in, inlet_kpa, data, car, state);
    state.boost_kpa = inlet_kpa * state.pressure_ratio - (data.turbocharged ? 4.0 * flow * flow : 0.0);
    step_charge_temperature(dt_s, in, data, car, day, state);
    state.exhaust_kpa = exhaust_pressure_kpa(state.air_flow_kg_s, state.pressure_ratio, in.engine_speed_rpm, data,
                                             day.ambient_pressure_kpa);
    const double filling = car.volumetric_factor * volumetric_efficiency(in.engine_speed_rpm, state.manifold_kpa,
                                                                         state.exhaust_kpa, data.compression_ratio);
    const double per_kpa = filling * 1e3 * data.displacement_m3 * in.engine_speed_rpm / 120.0 /
                           (kGasConstant * (state.charge_temp_c + 273.15));
    step_manifold(dt_s, in, per_kpa, data, state);
    state.air_flow_kg_s = per_kpa * state.manifold_kpa;
}

double charge_pct(double air_flow_kg_s, double engine_speed_rpm, double displacement_m3) {
    const double full_kg = 101325.0 * displacement_m3 / (kGasConstant * 273.15);
    return 100.0 * air_flow_kg_s * 120.0 / (std::max(engine_speed_rpm, 100.0) * full_kg);
}

}  // namespace revwright::rig
