#pragma once

#include "model/job.h"
#include "rig/hidden.h"

namespace revwright::rig {

/// Fixed data of the air path: the engine's size and the hardware fitted.
struct AirPathData {
    double displacement_m3 = 0.002;
    int cylinders = 4;
    double compression_ratio = 9.6;
    bool turbocharged = true;
    double full_flow_kg_s = 0.18;             // scale of everything that depends on flow
    double intake_drop_kpa = 5.0;             // at full flow
    double exhaust_drop_kpa = 36.0;           // after the turbine, at full flow
    double standard_exhaust_drop_kpa = 36.0;  // what the boost behaviour is nominal with
    double cooler_effectiveness_factor = 1.0;
    double part_load_leak = 0.0;     // share of the air that comes past the meter below atmospheric pressure
    double meter_area_factor = 1.0;  // free area now / standard: an unscaled meter reads too little by it
};

/// `fitted` false: the car as it left the factory, whatever hardware the job sheet lists.
AirPathData air_path_data(const JobSheet& job, bool fitted);

/// Volumetric efficiency referred to manifold density, with the residual gas that back pressure leaves.
double volumetric_efficiency(double engine_speed_rpm, double manifold_kpa, double exhaust_kpa,
                             double compression_ratio);

/// Pressure before the turbine: what the exhaust behind it needs, times the expansion that drives the compressor.
double exhaust_pressure_kpa(double air_flow_kg_s, double pressure_ratio, double engine_speed_rpm,
                            const AirPathData& data, double ambient_kpa);

/// Highest compressor pressure ratio the turbine could hold at this flow with the wastegate shut.
double shut_pressure_ratio(double air_flow_kg_s, const AirPathData& data, const Hidden& car);
/// Share of that ratio's boost at a wastegate duty (0 = open as the spring lets it, 1 = shut).
double wastegate_share(double duty);
/// Duty that holds a boost pressure at a flow on the nominal car; the source of the example's feed-forward.
double nominal_duty(double boost_kpa, double air_flow_kg_s, const AirPathData& data);

/// Moving state of the air path. Pressures absolute, after their component.
struct AirState {
    double pressure_ratio = 1.0;
    double duty_seen = 0.0;  // wastegate after its actuator's lag
    double manifold_kpa = 40.0;
    double cooler_temp_c = 25.0;  // metal of the charge cooler: its heat soak
    double charge_temp_c = 30.0;
    double boost_kpa = 100.0;      // before the throttle
    double exhaust_kpa = 102.0;    // before the turbine
    double air_flow_kg_s = 0.003;  // into the cylinders
};

struct AirInput {
    double engine_speed_rpm = 850.0;
    double throttle_pct = 5.0;
    double wastegate_duty = 0.0;  // 0..1
    double road_speed_m_s = 0.0;
    double extra_charge_k = 0.0;        // a fault of the charge cooling
    double boost_floor_kpa = 0.0;       // a wastegate that sticks shut holds at least this
    double boost_ceiling_kpa = 1000.0;  // a leak or weak turbocharger holds at most this
};

/// Throttle's free area as a share of full at a position; and back.
double throttle_area(double throttle_pct);
double throttle_for_area(double area);
/// Area share that lets the engine settle at manifold_kpa.
double area_for_manifold(double manifold_kpa, double air_flow_kg_s, const AirState& state, const AirPathData& data);

/// One step of the explicit solution; the manifold is solved semi-implicitly, since an open throttle is stiff.
void step_air(double dt_s, const AirInput& in, const AirPathData& data, const Hidden& car, const Day& day,
              AirState& state);

/// Relative charge: air per cycle over what the swept volume holds at 101.325 kPa and 273.15 K, %.
double charge_pct(double air_flow_kg_s, double engine_speed_rpm, double displacement_m3);

}  // namespace revwright::rig
