#include "power/set_difference.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace revwright {
namespace {

constexpr double kRadPerRpm = std::numbers::pi / 30.0;
constexpr double kTwoSided95 = 1.959964;

double sd_of(const RoadFit& fit, const Eigen::VectorXd& row) { return std::sqrt(row.dot(fit.covariance * row)); }

PowerInterval around(double mean, double sd) { return {mean - kTwoSided95 * sd, mean + kTwoSided95 * sd}; }

}  // namespace

std::optional<PowerDifference> difference_of(const RoadFit& fit, const CurvePair& pair) {
    PowerDifference found;
    for (const double rpm : pair.to_torque->engine_speed_rpm) {
        if (!std::ranges::binary_search(pair.from_torque->engine_speed_rpm, rpm)) continue;
        const Eigen::VectorXd gain =
            fit.torque_row(pair.to, rpm * kRadPerRpm) - fit.torque_row(pair.from, rpm * kRadPerRpm);
        found.points.push_back({rpm, gain.dot(fit.parameters), sd_of(fit, gain)});
    }
    if (found.points.empty()) return std::nullopt;
    const auto row = [&](std::size_t curve, const PowerPeak& peak) {
        return fit.torque_row(curve, peak.engine_speed_rpm * kRadPerRpm);
    };
    // The peaks stand at speeds of their own; at each of them power follows torque.
    const Eigen::VectorXd power =
        row(pair.to, pair.to_power) * (pair.to_power.engine_speed_rpm * kRadPerRpm / 1000.0) -
        row(pair.from, pair.from_power) * (pair.from_power.engine_speed_rpm * kRadPerRpm / 1000.0);
    const Eigen::VectorXd torque = row(pair.to, pair.to_peak_torque) - row(pair.from, pair.from_peak_torque);
    found.peak_power_kw = pair.to_power.value - pair.from_power.value;
    found.peak_power_interval_kw = around(found.peak_power_kw, sd_of(fit, power));
    found.peak_torque_nm = pair.to_peak_torque.value - pair.from_peak_torque.value;
    found.peak_torque_interval_nm = around(found.peak_torque_nm, sd_of(fit, torque));
    const Eigen::VectorXd to_row = row(pair.to, pair.to_power);
    const Eigen::VectorXd at_peak = to_row - row(pair.from, pair.to_power);
    found.repeatability_pct = 100.0 * kTwoSided95 * sd_of(fit, at_peak) / to_row.dot(fit.parameters);
    return found;
}

}  // namespace revwright
