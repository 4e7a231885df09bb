#include "cli/text/power_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "cli/text/cautions.h"
#include "cli/text/layout.h"
#include "model/power_words.h"

namespace revwright::cli::text {
namespace {

constexpr double kTableStepRpm = 500.0;
constexpr double kTwoSided95 = 1.959964;

std::string section(const std::string& heading, const std::vector<std::string>& sentences) {
    std::string text;
    for (const std::string& sentence : sentences) text += paragraph(sentence, 2);
    return text.empty() ? text : "\n" + heading + "\n" + text;
}

std::string refused_text(const PowerSet& set) {
    std::vector<std::string> sentences;
    for (const RefusedPower& one : set.refused) sentences.push_back(in_words(one.method) + ": " + one.reason);
    return section("Refused", sentences);
}

std::string headline_text(const PowerReport& report) {
    std::string text = paragraph(power_headline(report), 0);
    const PowerSet* set = last_set(report);
    if (!set) return text;
    text += set->as_measured ? "\n" : refused_text(*set);  // where there is no figure, the reasons are the report
    if (!set->in_one_sentence.empty()) text += paragraph(set->in_one_sentence, 0);
    if (set->combined) {
        text += "At the crankshaft; in brackets 95 % intervals.\n";
        const std::string corrected = corrected_in_words(*set);
        text += paragraph(corrected.empty() ? set->why_reference : corrected, 0);
        if (const std::string ends = peaks_at_ends_in_words(*set); !ends.empty()) text += paragraph(ends, 0);
    }
    return text;
}

std::string factors_text(const PowerSet& set) {
    std::string text;
    if (set.air) {
        text = fmt::format("Air of the runs: {:.1f} kPa, {:.0f} °C", set.air->pressure_kpa, set.air->temperature_c);
        text += set.air->humidity_pct ? fmt::format(", humidity {:.0f} %.", *set.air->humidity_pct)
                                      : ", humidity not known.";
    }
    for (const CorrectionFactor& one : set.factors)
        text += fmt::format(" {}: factor {:.3f}{}.", one.standard, one.factor,
                            one.within_limits ? "" : ", beyond the limits of the standard");
    return text.empty() ? text : paragraph(text, 0);
}

std::string range(const PowerInterval& interval, int decimals) {
    return fixed(interval.low, decimals) + " to " + fixed(interval.high, decimals);
}

void add_curve(Columns& columns, std::string name, const PowerCurve& curve, std::string part) {
    columns.add({std::move(name), fixed(curve.power_kw.value, 1), range(curve.power_kw.interval, 1),
                 fixed(curve.power_kw.engine_speed_rpm, 0), fixed(curve.torque_nm.value, 0),
                 range(curve.torque_nm.interval, 0), fixed(curve.torque_nm.engine_speed_rpm, 0), std::move(part)});
}

std::string methods_text(const PowerSet& set) {
    if (set.methods.empty()) return "";
    Columns columns({"method", "peak kW", "95 %", "at rpm", "peak Nm", "95 %", "at rpm", ""});
    std::string apart;
    for (const MethodPower& one : set.methods) {
        add_curve(columns, in_words(one.method), one.curve, one.combined ? "combined" : "apart");
        if (!one.combined) apart += paragraph(fmt::format("{} stands apart: {}", in_words(one.method), one.why_not), 2);
    }
    if (set.combined) add_curve(columns, "all combined", *set.combined, "");
    const std::string to = set.reference == "none" ? "not corrected" : "corrected to " + set.reference;
    std::string text = "\nMethods, " + to + "\n" + columns.print(2) + apart;
    if (!set.agreement.text.empty()) text += paragraph(set.agreement.text, 2);
    if (set.agreement.birge_ratio > 0.0)
        text +=
            paragraph(fmt::format("Birge ratio {:.2f}: 1 where methods differ as much as they claim, more where they "
                                  "differ by more.",
                                  set.agreement.birge_ratio),
                      2);
    return text;
}

/// The point at a speed, nothing between or beyond those of the curve.
const TorqueCurvePoint* point_at(const std::vector<TorqueCurvePoint>& points, double rpm) {
    const auto found = std::ranges::find_if(
        points, [rpm](const TorqueCurvePoint& p) { return std::abs(p.engine_speed_rpm - rpm) < 0.5; });
    return found == points.end() ? nullptr : &*found;
}

std::string with_half_width(const TorqueCurvePoint& point, int decimals) {
    return fmt::format("{} ±{}", fixed(point.torque_nm, decimals), fixed(kTwoSided95 * point.torque_sd_nm, decimals));
}

/// Torque and power as measured at round speeds, beside them what was gained over each earlier set.
std::string torque_text(const PowerReport& report) {
    const PowerSet* set = last_set(report);
    if (!set || !set->as_measured || set->as_measured->points.empty()) return "";
    std::vector<std::string> head{"rpm", "Nm", "kW"};
    std::vector<const PowerDifference*> gains;
    for (const PowerDifference& one : report.differences)
        if (one.to + 1 == report.sets.size()) {
            gains.push_back(&one);
            head.push_back("Nm gained over " + report.sets[one.from].image);
        }
    Columns columns(head);
    const std::vector<TorqueCurvePoint>& points = set->as_measured->points;
    const double first = std::ceil(points.front().engine_speed_rpm / kTableStepRpm) * kTableStepRpm;
    for (double rpm = first; rpm <= points.back().engine_speed_rpm + 0.5; rpm += kTableStepRpm) {
        const TorqueCurvePoint* point = point_at(points, rpm);
        if (!point) continue;
        std::vector<std::string> row{fixed(rpm, 0), with_half_width(*point, 0),
                                     fixed(point->torque_nm * rpm * std::numbers::pi / 30e3, 1)};
        for (const PowerDifference* gain : gains) {
            const TorqueCurvePoint* gained = point_at(gain->points, rpm);
            row.push_back(gained ? with_half_width(*gained, 1) : "-");
        }
        columns.add(std::move(row));
    }
    return columns.empty() ? "" : "\nTorque and power as measured, ± of 95 %\n" + columns.print(2);
}

std::string earlier_text(const PowerReport& report) {
    if (report.sets.size() < 2) return "";
    std::vector<std::string> sentences;
    for (std::size_t i = 0; i + 1 < report.sets.size(); ++i) {
        const PowerSet& set = report.sets[i];
        sentences.push_back(set.as_measured ? fmt::format("{}: {} and {}, as measured.", set.image,
                                                          power_in_words(set.as_measured->power_kw),
                                                          torque_in_words(set.as_measured->torque_nm))
                                            : set.image + ": no figure.");
        for (const RefusedPower& one : set.refused)
            if (!set.as_measured) sentences.back() += fmt::format(" {}: {}", in_words(one.method), one.reason);
    }
    std::vector<std::string> differences;
    for (const PowerDifference& one : report.differences) {
        differences.push_back(difference_in_words(report, one));
        differences.push_back(accuracies_in_words(report, one));
    }
    return section("Earlier images", sentences) + section("Between images, on the same road", differences);
}

std::string pulls_text(const PowerReport& report) {
    Columns columns({"pull", "log", "image", "driven", "gear", "from rpm", "to rpm", "told by"});
    std::vector<std::string> left_out;
    for (const PowerPull& pull : report.pulls) {
        if (!pull.left_out.empty()) {
            left_out.push_back(fmt::format("pull {} of {}: {}", pull.pull, report.logs[pull.log], pull.left_out));
            continue;
        }
        columns.add({std::to_string(pull.pull), report.logs[pull.log], report.sets[pull.set].image,
                     pull.direction.empty() ? "-" : pull.direction, pull.gear ? std::to_string(*pull.gear) : "-",
                     fixed(pull.speed_from_rpm, 0), fixed(pull.speed_to_rpm, 0), pull.speed_of});
    }
    std::string text = columns.empty() ? "" : "\nPulls used\n" + columns.print(2);
    text += section("Pulls left out", left_out);
    if (report.excluded.empty()) return text;
    Columns stretches({"not a pull", "log", "start s", "end s"});
    for (const Excluded& one : report.excluded)
        stretches.add(
            {std::string(to_string(one.reason)), report.logs[one.log], fixed(one.start_s, 1), fixed(one.end_s, 1)});
    return text + "\n" + stretches.print(2);
}

std::string coastdown_text(const PowerReport& report) {
    if (!report.coastdown) return "";
    const PowerCoastdown& coastdown = *report.coastdown;
    Columns stretches({"coasting in neutral", "driven", "start s", "end s", "from km/h", "to km/h"});
    for (const PowerCoast& one : coastdown.stretches)
        stretches.add({report.logs[one.log], one.direction.empty() ? "-" : one.direction, fixed(one.start_s, 1),
                       fixed(one.end_s, 1), fixed(one.from_km_h, 0), fixed(one.to_km_h, 0)});
    std::string text = "\n" + stretches.print(2);
    if (!coastdown.refused.empty()) return text + paragraph("Not used: " + coastdown.refused + ".", 2);
    std::string forces;
    for (const RoadResistance& one : coastdown.resistance)
        forces += fmt::format("{}{:.0f} N ±{:.0f} at {:.0f} km/h", forces.empty() ? "" : ", ", one.force_n,
                              kTwoSided95 * one.force_sd_n, one.speed_km_h);
    return text + paragraph("Resistance on the level in still air, ± of 95 %: " + forces + ".", 2);
}

/// What would narrow the interval; what hardly would is not worth a calibrator's time.
std::string remedies_text(const PowerSet& set) {
    constexpr double kWorthAMeasurement = 0.02;
    Columns columns({"then left", "of the variance gone", "measurement", "it settles"});
    for (const PowerRemedy& one : set.remedies)
        if (one.share >= kWorthAMeasurement)
            columns.add({fmt::format("±{:.1f} kW", one.half_width_kw), fmt::format("{:.0f} %", 100.0 * one.share),
                         one.measurement, one.cause});
    return columns.empty() ? "" : "\nWhat would make the peak power surer, most helpful first\n" + columns.print(2);
}

}  // namespace

std::string power_text(const PowerReport& report) {
    std::string text = headline_text(report);
    const PowerSet* set = last_set(report);
    if (set) text += factors_text(*set);
    text += section("Goal", goals_in_words(report));
    if (set) text += methods_text(*set);
    if (set && set->as_measured) text += refused_text(*set);
    text += torque_text(report) + earlier_text(report) + pulls_text(report) + coastdown_text(report);
    text += section("Taken for granted", report.assumptions);
    if (set) text += remedies_text(*set);
    return text + "\n" + cautions();
}

}  // namespace revwright::cli::text
