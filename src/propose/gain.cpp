#include "propose/gain.h"

#include <algorithm>

namespace revwright {
namespace {

constexpr double kMiddleSpeedRpm = 4000.0;  // for a table that does not know the speed

Gain spark_gain(const CellSituation& cell) {
    constexpr double kFallPerDegree = 0.05;
    const double speed = cell.speed_rpm.value_or(kMiddleSpeedRpm);
    const double at_standard = std::clamp(0.84 - (0.84 - 0.44) * (speed - 3000.0) / 2500.0, 0.3, 0.9);
    const double above = cell.now - cell.standard.value_or(cell.now);
    return {at_standard - kFallPerDegree * std::max(0.0, above), kFallPerDegree};
}

Gain lambda_gain(const CellSituation& cell) {
    // 4.3 % between 0.80 and 0.90: a (0.08^2 - 0.02^2) = 4.3.
    constexpr double kLoss = 4.3 / (0.08 * 0.08 - 0.02 * 0.02);
    return {2.0 * kLoss * (kBestTorqueLambda - cell.now), 2.0 * kLoss};
}

}  // namespace

Gain torque_gain(const TableSituation& table, const CellSituation& cell) {
    if (table.role() == Role::spark) return spark_gain(cell);
    if (table.role() == Role::lambda_target) return lambda_gain(cell);
    return {0.5, 0.0};
}

}  // namespace revwright
