#pragma once

#include <optional>
#include <vector>

#include "numeric/quadratic_programme.h"

namespace revwright {

/// Where the interior-point method ended: x and the multipliers of the rows.
struct InteriorPoint {
    std::vector<double> x, row_multipliers;
    int iterations = 0;
};

/// Mehrotra's predictor-corrector method on the normal equations H + C'(z/s)C, by sparse LDL'.
/// Nothing where it does not converge, as on a problem without a feasible point: it gives no certificate of that.
/// Source: Nocedal and Wright, Numerical Optimization, 2nd ed., sec. 16.6 (from memory).
std::optional<InteriorPoint> interior_point(const QuadraticProgramme& programme);

}  // namespace revwright
