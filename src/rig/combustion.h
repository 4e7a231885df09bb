#pragma once

#include "rig/hidden.h"

namespace revwright::rig {

/// Spark of best torque, degrees before top dead centre. Rises with speed (less time to burn), falls with charge
/// (faster flame). Own choice of numbers, within the usual 18 to 32 degrees of boosted engines.
double best_torque_spark_deg(double engine_speed_rpm, double charge_pct);

/// Torque kept when the spark stands away from best torque: 1 - k (best - spark)^2, never below 0.2.
double spark_efficiency(double best_deg, double spark_deg, double curvature_per_deg2);

/// Torque per air against lambda, 1 at its best near 0.88, about -2 % at 1.0 and -4 % at 0.78.
double lambda_efficiency(double lambda);

/// Friction and auxiliaries as a torque, Nm, for a displacement in m3.
double friction_torque_nm(double engine_speed_rpm, double displacement_m3);

struct CombustionInput {
    double engine_speed_rpm = 0.0;
    double air_flow_kg_s = 0.0;     // into the cylinders
    double lambda = 1.0;            // in the cylinder
    double spark_efficiency = 1.0;  // mean over the cylinders
    double manifold_kpa = 100.0;
    double exhaust_kpa = 100.0;  // before the turbine
    bool fuel_on = true;
};

/// Crank torque, Nm: indicated work of the air burned, less pumping and friction.
double crank_torque_nm(const CombustionInput& in, const Hidden& car, double displacement_m3,
                       double stoichiometric_ratio, double heating_value_j_kg);

/// Stoichiometric air mass per fuel mass, and lower heating value, of petrol with some ethanol.
struct FuelData {
    double stoichiometric_ratio = 14.6;
    double heating_value_j_kg = 43.2e6;
};
FuelData fuel_data(const Fuel& fuel);

}  // namespace revwright::rig
