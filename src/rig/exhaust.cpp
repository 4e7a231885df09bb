#include "rig/exhaust.h"

#include <algorithm>
#include <cmath>

namespace revwright::rig {

double settled_exhaust_temp_c(const ExhaustInput& in, const Hidden& car) {
    // Own level and flow dependence (saturating at low flow, then linear); lambda, spark and charge slopes are the
    // priors of docs/rig.md. Leaner than stoichiometric the spare air cools again.
    const double part = in.air_flow_kg_s / in.flow_scale_kg_s;
    const double level = 400.0 + 380.0 * (1.0 - std::exp(-4.5 * part)) + 63.0 * part + car.exhaust_offset_k;
    if (!in.fuel_on) return std::max(250.0, level - 330.0);
    const double mixture = in.lambda <= 1.0 ? car.exhaust_lambda_k_per_unit * (in.lambda - 0.85)
                                            : car.exhaust_lambda_k_per_unit * (0.15 - 0.8 * (in.lambda - 1.0));
    return level + mixture + car.exhaust_spark_k_per_deg * (in.spark_retard_deg - 12.0) +
           0.8 * (in.charge_temp_c - 47.0);
}

void ExhaustProbe::step(double dt_s, double settled_c, double air_flow_kg_s, double flow_scale_kg_s,
                        const Hidden& car) {
    constexpr double kMetalShare = 0.35;
    const double flow = std::max(air_flow_kg_s / flow_scale_kg_s, 0.05);
    const double speed_up = 1.0 / std::sqrt(flow / 0.7);
    metal_c_ += dt_s * (settled_c - metal_c_) / (car.metal_lag_s * speed_up);
    const double seen = (1.0 - kMetalShare) * settled_c + kMetalShare * metal_c_;
    reading_c_ += dt_s * (seen - reading_c_) / (car.probe_lag_s * speed_up);
}

}  // namespace revwright::rig
