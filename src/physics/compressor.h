#pragma once

#include "core/quantity.h"
#include "model/compressor_map.h"

namespace revwright {

/// The state a compressor map is corrected to. It must come from the map's own label: common ones differ by 7 % of flow
/// (compressor_test.cpp).
struct CompressorReference {
    Temperature temperature;
    AbsolutePressure pressure;
};

/// Flow as the map counts it: W sqrt(T1 / Tref) / (p1 / pref).
///
/// t1, p1  at the compressor's inlet, total where that differs      Precondition: all above 0.
/// Source: similarity of turbomachines; the form of SAE J1826 (its text was not at hand).
MassFlow corrected_flow(MassFlow flow, Temperature t1, AbsolutePressure p1, const CompressorReference& reference);

/// Shaft speed from the map's: N = N_map sqrt(T1 / Tref). The same source.
double shaft_speed_rpm(double map_speed_rpm, Temperature t1, const CompressorReference& reference);

/// Ratio of heat capacities and heat capacity of air as the published check values take them.
inline constexpr double kAirHeatRatio = 1.4;
inline constexpr double kAirHeatCapacity = 1005.0;  // J/(kg K)

/// T2 = T1 (1 + (ratio^((g - 1) / g) - 1) / efficiency), g = 1.4.
///
/// ratio  total, above 0      efficiency  isentropic, above 0 up to 1
/// Source: definition of isentropic efficiency; worked examples in compressor_test.cpp.
Temperature compressor_outlet(Temperature t1, double ratio, double efficiency);

/// Shaft power W cp (T2 - T1) of an adiabatic compressor, cp = 1005 J/(kg K).
Power compressor_power(MassFlow flow, Temperature t1, Temperature t2);

/// Where a point of operation lies in a map.
struct CompressorPlace {
    enum class Range { inside, slower, faster };  // than the map's lines
    Range range = Range::inside;
    double map_speed_rpm = 0.0;    // corrected; the nearest line's where not inside
    double choke_flow_kg_s = 0.0;  // highest flow the map has at that speed or a slower one, corrected
    double efficiency = 0.0;       // held at the ends of the speed line
    double along = 0.0;            // 0 = at the surge end of the speed line, 1 = at its choke end; may go beyond
};

/// Pressure ratio at a corrected speed and flow: linear between points of a line, and between the points of the two
/// neighbouring lines that are the same share of the way from surge to choke. Beyond the ends as ratio_at() says.
double map_ratio(const CompressorMap& map, double map_speed_rpm, MassFlow corrected);

/// The inverse: at which speed the map gives that ratio at that flow, by bisection to 1e-9 of the speed.
CompressorPlace place_in(const CompressorMap& map, MassFlow corrected, double ratio);

/// Corrected flow at the surge end of the map at a pressure ratio, linear between the lines; below the slowest line
/// towards no flow at ratio 1, above the fastest held.
MassFlow surge_flow(const CompressorMap& map, double ratio);

/// (flow - surge flow) / flow, negative left of the surge line. Source: the usual definition.
double surge_margin(const CompressorMap& map, MassFlow corrected, double ratio);

}  // namespace revwright
