#pragma once

#include "rig/hidden.h"

namespace revwright::rig {

struct ExhaustInput {
    double air_flow_kg_s = 0.0;
    double flow_scale_kg_s = 0.18;  // full-load flow of an engine of this size
    double spark_retard_deg = 0.0;  // best-torque spark less delivered spark
    double lambda = 1.0;
    double charge_temp_c = 40.0;
    bool fuel_on = true;
};

/// Exhaust temperature before the turbine that this operating point settles at, C.
double settled_exhaust_temp_c(const ExhaustInput& in, const Hidden& car);

/// What a probe before the turbine reads: the gas, in part cooled by the metal around it, through the probe's own lag.
class ExhaustProbe {
public:
    explicit ExhaustProbe(double start_c) : metal_c_(start_c), reading_c_(start_c) {}
    void step(double dt_s, double settled_c, double air_flow_kg_s, double flow_scale_kg_s, const Hidden& car);
    double reading_c() const { return reading_c_; }

private:
    double metal_c_;
    double reading_c_;
};

}  // namespace revwright::rig
