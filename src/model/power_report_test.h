#pragma once

#include <cmath>
#include <numbers>

#include "model/power.h"

namespace revwright::power_report_test {

// A report with invented numbers, for the tests of what is written and drawn from one.

inline double torque_at(double rpm, double peak_nm) {
    const double from_peak = (rpm - 4200.0) / 3000.0;
    return peak_nm * (1.0 - 0.34 * from_peak * from_peak);
}

inline PowerPeak peak_of(const PowerCurve& curve, bool power) {
    PowerPeak peak = {};
    for (const TorqueCurvePoint& point : curve.points) {
        const double scale = power ? point.engine_speed_rpm * std::numbers::pi / 30.0 / 1000.0 : 1.0;
        if (point.torque_nm * scale <= peak.value) continue;
        const double half = 1.96 * point.torque_sd_nm * scale;
        peak = {point.torque_nm * scale,
                point.engine_speed_rpm,
                {point.torque_nm * scale - half, point.torque_nm * scale + half}};
    }
    return peak;
}

/// From 2,000 to 6,500 rpm, with a standard deviation in percent.
inline PowerCurve curve_of(double peak_nm, double sd_pct) {
    PowerCurve curve = {};
    for (double rpm = 2000.0; rpm <= 6500.0; rpm += 50.0) {
        const double torque = torque_at(rpm, peak_nm);
        curve.points.push_back({rpm, torque, torque * sd_pct / 100.0});
    }
    curve.power_kw = peak_of(curve, true);
    curve.torque_nm = peak_of(curve, false);
    return curve;
}

inline PowerSet set_of(const std::string& image, const std::string& log, double peak_nm) {
    constexpr double factor = 1.021;
    PowerSet set{.image = image, .digest = Digest{}, .logs = {log}, .reference = "ISO 1585"};
    set.why_reference = "Corrected to ISO 1585 by 1.021.";
    set.correction_factor = factor;
    set.air = PowerAir{.pressure_kpa = 98.2, .temperature_c = 27.0};
    set.factors = {{"ISO 1585", factor, true}, {"SAE J1349", 1.012, true}};
    set.methods = {{.method = PowerMethod::road_load, .curve = curve_of(peak_nm * factor * 1.004, 1.9)},
                   {.method = PowerMethod::air_flow, .curve = curve_of(peak_nm * factor * 0.985, 3.0)},
                   {.method = PowerMethod::control_unit,
                    .curve = curve_of(peak_nm * factor * 0.93, 4.0),
                    .combined = false,
                    .why_not = "The tables that the control unit's torque comes from are not the standard ones."}};
    set.combined = curve_of(peak_nm * factor, 1.6);
    set.as_measured = curve_of(peak_nm, 1.6);
    set.agreement = {true, 0.84, "Road load and air flow agree within what each claims to know."};
    set.refused = {{PowerMethod::dynamometer, "No log was driven on a dynamometer."}};
    set.remedies = {{"the mass of the car", "weigh the car as driven, to 5 kg", 0.52, 3.4},
                    {"slope and wind", "drive the same road both ways, within minutes", 0.21, 4.3}};
    set.in_one_sentence = "Most of the interval comes from the mass of the car: weigh the car as driven, to 5 kg.";
    return set;
}

inline PowerPull pull_of(std::size_t index, std::size_t set, double peak_nm) {
    PowerPull pull{.pull = index,
                   .log = set,
                   .set = set,
                   .direction = index % 2 == 0 ? "out" : "back",
                   .gear = 3,
                   .speed_from_rpm = 2050.0,
                   .speed_to_rpm = 6450.0,
                   .speed_of = "engine_speed_rpm"};
    for (double rpm = 2100.0; rpm <= 6400.0; rpm += 100.0) {
        const double scatter = 5.0 * std::sin(0.013 * rpm * (1.0 + static_cast<double>(index)));
        pull.quick_view.push_back({rpm, torque_at(rpm, peak_nm) + scatter, 6.0});
    }
    return pull;
}

/// The standard image and a revision, two pulls each, and one more that was left out.
inline PowerReport two_sets() {
    constexpr double before = 236.0, after = 248.0;
    PowerReport report{.job = "demo.toml", .logs = {"standard.csv", "revision_1.csv"}};
    report.sets = {set_of("the standard image", "standard.csv", before),
                   set_of("revision_1.bin", "revision_1.csv", after)};
    PowerDifference difference{.from = 0, .to = 1, .method = PowerMethod::road_load};
    for (double rpm = 2000.0; rpm <= 6500.0; rpm += 50.0)
        difference.points.push_back({rpm, torque_at(rpm, after) - torque_at(rpm, before), 1.5});
    difference.peak_power_kw = 7.1;
    difference.peak_power_interval_kw = {4.9, 9.3};
    difference.peak_torque_nm = 12.0;
    difference.peak_torque_interval_nm = {9.1, 14.9};
    difference.repeatability_pct = 1.4;
    report.differences = {difference};
    report.pulls = {pull_of(0, 0, before), pull_of(1, 0, before), pull_of(2, 1, after), pull_of(3, 1, after)};
    report.pulls.push_back({.pull = 4, .log = 1, .set = 1, .left_out = "The gear is not known."});
    report.excluded = {{1, 12.0, 12.6, ExclusionReason::shift}, {1, 40.0, 44.0, ExclusionReason::part_pedal}};
    report.assumptions = {"Drag area taken as 0.65 m2, standard deviation 0.06 m2."};
    report.goal = {.torque_nm = 240.0, .power_kw = 150.0};
    return report;
}

/// Nothing could be stated.
inline PowerReport refused_report() {
    PowerReport report{.job = "demo.toml", .logs = {"phone.csv"}};
    report.sets = {{.image = "an image that is not named", .logs = {"phone.csv"}}};
    report.sets[0].refused = {
        {PowerMethod::road_load, "phone.csv has no time base: its samples cannot be told apart in time."}};
    report.pulls = {{.pull = 0, .left_out = "No time base."}};
    report.goal.power_kw = 150.0;
    return report;
}

}  // namespace revwright::power_report_test
