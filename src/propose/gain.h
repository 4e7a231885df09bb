#pragma once

#include "propose/situation.h"

namespace revwright {

/// Predicted torque gain of one cell's change x, in per cent where the cell is read alone: slope x - 1/2 curvature x^2.
struct Gain {
    double slope = 0.0;      // % per unit of x
    double curvature = 0.0;  // % per unit of x squared, never negative
};

/// Priors until the twin exists; x in the table's unit. Wide, and good enough to rank cells: the bounds decide.
///   spark   0.84 % per degree at 3000 rpm, 0.44 at 5500 (METHODS 2.2, computed), less 0.05 for each degree above
///           standard (torque loss 2.5e-4 per degree squared from best torque, CHECKS 7, computed)
///   lambda  a parabola with its top at 0.88 that loses 4.3 % at 0.80 against 0.90 (METHODS 2.2, computed)
///   boost   0.5 % per kPa: torque follows absolute pressure near 200 kPa
Gain torque_gain(const TableSituation& table, const CellSituation& cell);

/// The lambda of most torque.
inline constexpr double kBestTorqueLambda = 0.88;

}  // namespace revwright
