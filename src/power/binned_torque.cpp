#include "power/binned_torque.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "power/curve_grid.h"

namespace revwright {
namespace {

constexpr std::size_t kLeastReadings = 12;
constexpr double kReachRpm = 75.0;

struct Bin {
    double sum = 0.0, count = 0.0;
};

/// Mean at each speed; empty bins lie straight between their neighbours. The ends are never empty: see curve_grid.
Eigen::VectorXd means_of(const std::vector<Bin>& bins) {
    const auto size = static_cast<Eigen::Index>(bins.size());
    Eigen::VectorXd means(size);
    Eigen::Index last = -1;
    for (Eigen::Index i = 0; i < size; ++i) {
        const Bin& bin = bins[static_cast<std::size_t>(i)];
        if (bin.count == 0.0) continue;
        means[i] = bin.sum / bin.count;
        for (Eigen::Index k = last + 1; k < i; ++k) {
            const double part = last < 0 ? 1.0 : static_cast<double>(k - last) / static_cast<double>(i - last);
            means[k] = last < 0 ? means[i] : means[last] + part * (means[i] - means[last]);
        }
        last = i;
    }
    for (Eigen::Index k = last + 1; k < size; ++k) means[k] = means[last];
    return means;
}

}  // namespace

Result<TorqueEstimate> binned_torque(std::span<const TorqueReading> readings, const CurveErrors& errors) {
    if (readings.size() < kLeastReadings)
        return refuse(
            fmt::format("{} readings under full load are too few, {} are needed", readings.size(), kLeastReadings));
    const auto [low, high] = std::ranges::minmax(readings, {}, &TorqueReading::engine_speed_rpm);
    TorqueEstimate found{.engine_speed_rpm = curve_grid(low.engine_speed_rpm, high.engine_speed_rpm)};
    const std::vector<double>& speeds = found.engine_speed_rpm;
    if (speeds.empty()) return refuse("the pulls cover too few engine speeds");
    std::vector<Bin> bins(speeds.size());
    const auto near = [&](double rpm, auto visit) {
        for (std::size_t i = 0; i < speeds.size(); ++i)
            if (std::abs(speeds[i] - rpm) <= kReachRpm) visit(i);
    };
    for (const TorqueReading& reading : readings)
        near(reading.engine_speed_rpm, [&](std::size_t i) { bins[i].sum += reading.torque_nm, bins[i].count += 1.0; });
    found.torque_nm = means_of(bins);
    double squares = 0.0, count = 0.0;
    for (const TorqueReading& reading : readings)
        near(reading.engine_speed_rpm, [&](std::size_t i) {
            squares += std::pow(reading.torque_nm - found.torque_nm[static_cast<Eigen::Index>(i)], 2), count += 1.0;
        });
    const double scatter = squares / std::max(1.0, count);
    const double middle = 0.5 * (speeds.front() + speeds.back()), half = 0.5 * (speeds.back() - speeds.front());
    Eigen::VectorXd tilt = found.torque_nm;
    for (std::size_t i = 0; i < speeds.size(); ++i) tilt[static_cast<Eigen::Index>(i)] *= (speeds[i] - middle) / half;
    found.covariance = std::pow(errors.level, 2) * found.torque_nm * found.torque_nm.transpose() +
                       std::pow(errors.tilt, 2) * tilt * tilt.transpose();
    for (std::size_t i = 0; i < speeds.size(); ++i)
        found.covariance.diagonal()[static_cast<Eigen::Index>(i)] += scatter / std::max(1.0, bins[i].count);
    found.air_meter = errors.air_meter * found.torque_nm;
    return found;
}

}  // namespace revwright
