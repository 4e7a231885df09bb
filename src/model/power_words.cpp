#include "model/power_words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <string_view>

namespace revwright {
namespace {

/// Kilowatts are told to a tenth, newton metres whole: finer than any interval of a road log.
std::string figure(const PowerPeak& peak, std::string_view unit, int decimals, bool at_speed) {
    std::string text = fmt::format("{0:.{4}f} {1} ({2:.{4}f} to {3:.{4}f})", peak.value, unit, peak.interval.low,
                                   peak.interval.high, decimals);
    if (at_speed) text += fmt::format(" at {} rpm", speed_in_words(peak.engine_speed_rpm));
    return text;
}

std::string gain(std::string_view what, double value, const PowerInterval& interval, std::string_view unit) {
    if (interval.low <= 0.0 && interval.high >= 0.0)
        return fmt::format("{} {:+.1f} {} ({:.1f} to {:.1f}), which may be none", what, value, unit, interval.low,
                           interval.high);
    const double low = std::min(std::abs(interval.low), std::abs(interval.high));
    const double high = std::max(std::abs(interval.low), std::abs(interval.high));
    return fmt::format("{} {:.1f} {} ({:.1f} to {:.1f}) {}", what, std::abs(value), unit, low, high,
                       value > 0.0 ? "more" : "less");
}

std::string goal(std::string_view what, double wanted, std::string_view unit, const PowerPeak* peak) {
    const std::string start = fmt::format("Goal of {:g} {} {}: ", wanted, unit, what);
    if (!peak) return start + "it cannot be told whether it is reached.";
    if (peak->interval.low > wanted)
        return start + fmt::format("exceeded, by {:.1f} {} at least.", peak->interval.low - wanted, unit);
    if (peak->interval.high < wanted)
        return start + fmt::format("not reached, {:.1f} {} short at least.", wanted - peak->interval.high, unit);
    return start + "reached within the interval; nothing closer can be said.";
}

}  // namespace

std::string in_words(PowerMethod method) {
    std::string words(to_string(method));
    std::ranges::replace(words, '-', ' ');
    return words;
}

std::string speed_in_words(double rpm) {
    std::string digits = fmt::format("{:.0f}", rpm);
    if (digits.size() > 3) digits.insert(digits.size() - 3, ",");
    return digits;
}

std::string power_in_words(const PowerPeak& peak, bool at_speed) { return figure(peak, "kW", 1, at_speed); }
std::string torque_in_words(const PowerPeak& peak, bool at_speed) { return figure(peak, "Nm", 0, at_speed); }

const PowerSet* last_set(const PowerReport& report) { return report.sets.empty() ? nullptr : &report.sets.back(); }

std::string power_headline(const PowerReport& report) {
    const PowerSet* set = last_set(report);
    if (set && set->as_measured)
        return fmt::format("{} and {}, as measured with {}.", power_in_words(set->as_measured->power_kw),
                           torque_in_words(set->as_measured->torque_nm), set->image);
    if (set && !set->methods.empty())
        return fmt::format("The methods give no common figure for the power with {}.", set->image);
    return fmt::format("The power{} cannot be stated.", set ? " with " + set->image : "");
}

std::string corrected_in_words(const PowerSet& set) {
    if (!set.combined || set.reference == "none") return "";
    return fmt::format("Corrected to {} by {:.3f}: {} and {}.", set.reference, set.correction_factor,
                       power_in_words(set.combined->power_kw), torque_in_words(set.combined->torque_nm));
}

std::string peaks_at_ends_in_words(const PowerSet& set) {
    if (!set.as_measured || set.as_measured->points.size() < 4) return "";
    const auto& points = set.as_measured->points;
    std::string words;
    if (set.as_measured->torque_nm.engine_speed_rpm <= points[1].engine_speed_rpm)
        words = fmt::format(
            "Torque is highest where the curve begins, at {} rpm, and may be higher below: what was driven there, "
            "before "
            "the boost was steady, tells no torque.",
            speed_in_words(points.front().engine_speed_rpm));
    if (set.as_measured->power_kw.engine_speed_rpm >= points[points.size() - 2].engine_speed_rpm)
        words += fmt::format("{}Power is highest where the pulls end, at {} rpm, and may be higher beyond.",
                             words.empty() ? "" : " ", speed_in_words(points.back().engine_speed_rpm));
    return words;
}

double absolute_accuracy_pct(const PowerSet& set) {
    if (!set.as_measured || !(set.as_measured->power_kw.value > 0.0)) return 0.0;
    const PowerPeak& peak = set.as_measured->power_kw;
    return 50.0 * (peak.interval.high - peak.interval.low) / peak.value;
}

std::string difference_in_words(const PowerReport& report, const PowerDifference& difference) {
    return fmt::format("With {} against {}, by {} and as measured: {}; {}.", report.sets[difference.to].image,
                       report.sets[difference.from].image, in_words(difference.method),
                       gain("peak power", difference.peak_power_kw, difference.peak_power_interval_kw, "kW"),
                       gain("peak torque", difference.peak_torque_nm, difference.peak_torque_interval_nm, "Nm"));
}

std::string accuracies_in_words(const PowerReport& report, const PowerDifference& difference) {
    const double absolute = absolute_accuracy_pct(report.sets[difference.to]);
    std::string text = absolute > 0.0 ? fmt::format("Absolute accuracy is ±{:.1f} %. ", absolute) : "";
    return text + fmt::format("Between the two it is ±{:.1f} %, as the errors that they share drop out.",
                              difference.repeatability_pct);
}

std::vector<std::string> goals_in_words(const PowerReport& report) {
    const PowerSet* set = last_set(report);
    const PowerCurve* curve = set && set->combined ? &*set->combined : nullptr;
    std::vector<std::string> sentences;
    if (report.goal.power_kw)
        sentences.push_back(goal("peak power", *report.goal.power_kw, "kW", curve ? &curve->power_kw : nullptr));
    if (report.goal.torque_nm)
        sentences.push_back(goal("peak torque", *report.goal.torque_nm, "Nm", curve ? &curve->torque_nm : nullptr));
    return sentences;
}

}  // namespace revwright
