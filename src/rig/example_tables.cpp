#include "rig/example_tables.h"

#include <algorithm>
#include <cmath>

#include "rig/air_path.h"
#include "rig/combustion.h"
#include "rig/knock.h"

namespace revwright::rig {
namespace {

constexpr std::uint64_t kBase = 0x80000;
const std::vector<double> kSparkSpeeds = {800,  1200, 1600, 2000, 2400, 2800, 3200, 3600,
                                          4000, 4400, 4800, 5200, 5600, 6000, 6400, 6800};
const std::vector<double> kSparkCharges = {20, 40, 60, 80, 100, 115, 130, 145, 160, 175, 190, 205};
const std::vector<double> kSpeeds = {1000, 1500, 2000, 2500, 3000, 3500, 4000, 4500, 5000, 5500, 6000, 6800};
const std::vector<double> kLambdaCharges = {20, 50, 80, 100, 115, 130, 145, 160, 180, 200};
const std::vector<double> kBoost = {106, 132, 168, 194, 203, 205, 205, 203, 199, 192, 183, 167};
const std::vector<double> kBoostSteps = {100, 120, 140, 160, 175, 190, 205, 220};

/// Straight between the points, held at the ends.
double between(const std::vector<double>& x, const std::vector<double>& y, double at) {
    if (at <= x.front()) return y.front();
    for (std::size_t i = 1; i < x.size(); ++i)
        if (at <= x[i]) return y[i - 1] + (y[i] - y[i - 1]) * (at - x[i - 1]) / (x[i] - x[i - 1]);
    return y.back();
}

double wanted_lambda(double rpm, double charge) {
    const double rich = between({1500, 2500, 3500, 4500, 5500, 6500}, {0.89, 0.87, 0.868, 0.855, 0.838, 0.828}, rpm);
    const double share = between({85, 100, 115, 130}, {0.0, 0.4, 0.9, 1.0}, charge);
    return 1.0 + share * (rich - 1.0);
}

/// Manifold and back pressure with which the nominal car has this charge at 47 C.
struct Filling {
    double manifold_kpa, exhaust_kpa;
};
Filling filling_for(double rpm, double charge) {
    const AirPathData nominal;
    const double flow = charge / 100.0 * 101325.0 * nominal.displacement_m3 / (287.05287 * 273.15) * rpm / 120.0;
    const double inlet = 99.5 - nominal.intake_drop_kpa * std::pow(flow / nominal.full_flow_kg_s, 2.0);
    Filling f{charge * 1.2, charge * 1.3};
    for (int i = 0; i < 30; ++i) {  // a contraction: back pressure moves filling by little
        const double efficiency = volumetric_efficiency(rpm, f.manifold_kpa, f.exhaust_kpa, nominal.compression_ratio);
        f.manifold_kpa = charge * 1.01325 * (320.15 / 273.15) / efficiency;
        const double ratio = std::max(1.0, (f.manifold_kpa + 4.0) / inlet);
        f.exhaust_kpa = exhaust_pressure_kpa(flow, ratio, rpm, nominal, 99.5);
    }
    return f;
}

double wanted_spark(double rpm, double charge) {
    const Filling filling = filling_for(rpm, charge);
    const KnockPoint point{.engine_speed_rpm = rpm,
                           .manifold_kpa = filling.manifold_kpa,
                           .exhaust_kpa = filling.exhaust_kpa,
                           .charge_temp_c = 47.0,
                           .coolant_temp_c = 90.0,
                           .lambda = wanted_lambda(rpm, charge)};
    const KnockConditions conditions{.ron = 98.0, .compression_ratio = 9.6, .run_effect_deg = 0.0};
    // What the makers left: 4 to 6.5 degrees, more in the middle of the speeds, as eyesight would have it.
    const double left = 5.6 + 0.7 * std::sin((rpm - 2600.0) / 700.0) + 0.3 * std::sin(charge / 11.0);
    const double borderline = borderline_spark_deg(point, conditions, Hidden{}) - left;
    const double idle = rpm < 1000.0 ? 12.0 : 40.0;
    return std::clamp(std::min({borderline, best_torque_spark_deg(rpm, charge) - 4.0, idle}), -12.0, 45.0);
}

/// Duty that holds each boost target on the nominal car, from the flow it then has.
double wanted_duty(double rpm, double boost) {
    const AirPathData nominal;
    const double filling = volumetric_efficiency(rpm, boost, 1.15 * boost, 9.6);
    const double flow = filling * (boost - 2.0) * 1e3 * 0.001998 * rpm / 120.0 / (287.05 * 315.0);
    return 100.0 * nominal_duty(boost, flow, nominal);
}

AxisDescription own_axis(Signal signal, std::size_t size, std::uint64_t address, Coding coding) {
    return {.quantity = {signal, 0}, .size = size, .source = AxisInMemory{address, coding}, .shared = {}, .place = {}};
}
AxisDescription fixed_axis(Signal signal, std::vector<double> points) {
    return {.quantity = {signal, 0}, .size = points.size(), .source = AxisFixed{points}, .shared = {}, .place = {}};
}
AxisDescription shared_speeds() {
    AxisDescription axis = own_axis(Signal::engine_speed_rpm, kSpeeds.size(), kBase + 0x4800,
                                    {RawType::u16, ByteOrder::little, 0.25, 0.0});
    axis.shared = kSharedSpeeds;
    return axis;
}

template <class Value>
std::vector<double> filled(const std::vector<double>& rows, const std::vector<double>& columns, Value value) {
    std::vector<double> cells;
    for (const double row : rows)
        for (const double column : columns) cells.push_back(value(row, column));
    return cells;
}

ExampleTable spark() {
    return {.description = {.name = "SPARK_MAIN",
                            .quantity = {Signal::spark_deg, 0},
                            .address = kBase + 0x4A40,
                            .coding = {RawType::i8, ByteOrder::big, 0.75, 0.0},
                            .min = -20.0,
                            .max = 50.0,
                            .shape = {16, 12},
                            .axes = {own_axis(Signal::engine_speed_rpm, 16, kBase + 0x4A00,
                                              {RawType::u16, ByteOrder::big, 0.25, 0.0}),
                                     own_axis(Signal::charge_pct, 12, kBase + 0x4A20,
                                              {RawType::u16, ByteOrder::big, 0.01, 0.0})}},
            .axis_points = {kSparkSpeeds, kSparkCharges},
            .wanted = filled(kSparkSpeeds, kSparkCharges, wanted_spark),
            .round_down = true};
}

ExampleTable lambda() {
    return {.description = {.name = "LAMBDA_FULL",
                            .quantity = {Signal::lambda_target, 0},
                            .address = kBase + 0x4C00,
                            .coding = {RawType::u8, ByteOrder::big, 0.00390625, 0.25},
                            .min = 0.65,
                            .max = 1.15,
                            .shape = {12, 10},
                            .axes = {shared_speeds(), fixed_axis(Signal::charge_pct, kLambdaCharges)}},
            .axis_points = {kSpeeds, kLambdaCharges},
            .wanted = filled(kSpeeds, kLambdaCharges, wanted_lambda)};
}

ExampleTable boost() {
    return {.description = {.name = "BOOST_TARGET",
                            .quantity = {Signal::boost_target_kpa, 0},
                            .address = kBase + 0x4D00,
                            .coding = {RawType::u16, ByteOrder::little, 0.1, 0.0},
                            .min = 90.0,
                            .max = 260.0,
                            .shape = {12},
                            .axes = {shared_speeds()}},
            .axis_points = {kSpeeds},
            .wanted = kBoost};
}

ExampleTable wastegate() {
    return {.description = {.name = "WASTEGATE_BASE",
                            .quantity = {Signal::wastegate_duty_pct, 0},
                            .address = kBase + 0x4D40,
                            .coding = {RawType::u8, ByteOrder::big, 0.5, 0.0},
                            .min = 0.0,
                            .max = 95.0,
                            .shape = {12, 8},
                            .column_major = true,
                            .axes = {shared_speeds(), fixed_axis(Signal::boost_target_kpa, kBoostSteps)}},
            .axis_points = {kSpeeds, kBoostSteps},
            .wanted = filled(kSpeeds, kBoostSteps, wanted_duty)};
}

ExampleTable meter() {
    std::vector<double> points;
    for (int i = 0; i < 16; ++i) points.push_back(17.0 * i);
    return {.description = {.name = "METER_CURVE",
                            .quantity = {Signal::air_mass_flow_g_s, 0},
                            .address = kBase + 0x4E40,
                            .coding = {RawType::u16, ByteOrder::big, 0.01, 0.0},
                            .min = 0.0,
                            .max = 500.0,
                            .shape = {16},
                            .axes = {own_axis(Signal::air_mass_flow_g_s, 16, kBase + 0x4E20,
                                              {RawType::u16, ByteOrder::big, 0.01, 0.0})}},
            .axis_points = {points},
            .wanted = points};
}

ExampleTable torque_limit() {
    return {.description = {.name = "TORQUE_LIMIT",
                            .quantity = {Signal::torque_nm, 0},
                            .address = kBase + 0x4E80,
                            .coding = {RawType::i16, ByteOrder::little, 0.05, 0.0},
                            .min = 0.0,
                            .max = 700.0,
                            .shape = {12},
                            .axes = {shared_speeds()}},
            .axis_points = {kSpeeds},
            .wanted = {440, 440, 440, 440, 440, 440, 440, 440, 440, 430, 420, 410}};
}

ExampleTable speed_limit() {
    return {.description = {.name = "SPEED_LIMIT",
                            .quantity = {Signal::engine_speed_rpm, 0},
                            .address = kBase + 0x4EC0,
                            .coding = {RawType::f32, ByteOrder::big, 1.0, 0.0},
                            .min = 1000.0,
                            .max = 7200.0},
            .axis_points = {},
            .wanted = {6800.0}};
}

ExampleTable idle_speed() {
    const std::vector<double> coolant = {-30, 0, 30, 60, 90};
    return {.description = {.name = "IDLE_SPEED",
                            .quantity = {Signal::engine_speed_rpm, 0},
                            .address = kBase + 0x4EE0,
                            .coding = {RawType::u32, ByteOrder::big, 0.125, 0.0},
                            .min = 600.0,
                            .max = 1600.0,
                            .shape = {5},
                            .axes = {fixed_axis(Signal::coolant_temp_c, coolant)}},
            .axis_points = {coolant},
            .wanted = {1250, 1150, 1000, 900, 850}};
}

}  // namespace

std::vector<ExampleTable> example_tables() {
    return {spark(), lambda(), boost(), wastegate(), meter(), torque_limit(), speed_limit(), idle_speed()};
}

}  // namespace revwright::rig
