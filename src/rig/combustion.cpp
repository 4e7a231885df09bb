#include "rig/combustion.h"

#include <algorithm>
#include <numbers>

namespace revwright::rig {
namespace {

/// Indicated efficiency of the burned air's fuel energy at best torque and best lambda; own choice, the upper end
/// of what boosted petrol engines of a compression ratio near 10 reach.
constexpr double kIndicatedEfficiency = 0.425;

}  // namespace

double best_torque_spark_deg(double engine_speed_rpm, double charge_pct) {
    return 22.0 + 2.2 * (engine_speed_rpm - 3000.0) / 1000.0 - 0.06 * (charge_pct - 160.0);
}

double spark_efficiency(double best_deg, double spark_deg, double curvature_per_deg2) {
    const double away = best_deg - spark_deg;
    return std::max(0.2, 1.0 - curvature_per_deg2 * away * away);
}

double lambda_efficiency(double lambda) {
    const double away = lambda - 0.88;
    return std::max(0.3, 1.0 - (away < 0.0 ? 4.0 : 1.4) * away * away);
}

double friction_torque_nm(double engine_speed_rpm, double displacement_m3) {
    const double thousands = engine_speed_rpm / 1000.0;
    const double mean_pressure_pa = 1e5 * (0.95 + 0.05 * thousands + 0.018 * thousands * thousands);
    return mean_pressure_pa * displacement_m3 / (4.0 * std::numbers::pi);
}

double crank_torque_nm(const CombustionInput& in, const Hidden& car, double displacement_m3,
                       double stoichiometric_ratio, double heating_value_j_kg) {
    const double crank_rad_s = std::max(in.engine_speed_rpm, 300.0) * std::numbers::pi / 30.0;
    const double energy_w = in.air_flow_kg_s / stoichiometric_ratio * heating_value_j_kg;
    const double indicated_nm = !in.fuel_on
                                    ? 0.0
                                    : kIndicatedEfficiency * car.efficiency_factor * lambda_efficiency(in.lambda) *
                                          in.spark_efficiency * energy_w / crank_rad_s;
    const double pumping_nm = (in.exhaust_kpa - in.manifold_kpa) * 1e3 * displacement_m3 / (4.0 * std::numbers::pi);
    return indicated_nm - pumping_nm - car.friction_factor * friction_torque_nm(in.engine_speed_rpm, displacement_m3);
}

FuelData fuel_data(const Fuel& fuel) {
    // Blend by mass of petrol CH1.85 (14.572, 43.2 MJ/kg, 745 kg/m3) and ethanol (9.003, 26.8 MJ/kg, 789 kg/m3).
    // Sources: composition formula with 40 CFR 1065.655 default fuels; JRC well-to-wheels heating values.
    const double volume = std::clamp(fuel.ethanol_fraction, 0.0, 1.0);
    const double mass = volume * 789.0 / (volume * 789.0 + (1.0 - volume) * 745.0);
    return {.stoichiometric_ratio = 14.572 + mass * (9.003 - 14.572),
            .heating_value_j_kg = 43.2e6 + mass * (26.8e6 - 43.2e6)};
}

}  // namespace revwright::rig
