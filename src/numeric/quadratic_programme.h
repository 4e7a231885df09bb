#pragma once

#include <cstddef>
#include <limits>
#include <vector>

#include "core/error.h"

namespace revwright {

inline constexpr double kUnbounded = std::numeric_limits<double>::infinity();

/// One entry of a sparse matrix.
struct Entry {
    std::size_t row = 0, column = 0;
    double value = 0.0;
};

/// minimise 1/2 x'Hx + g'x   subject to   lower <= x <= upper,   row_lower <= A x <= row_upper.
///
/// H is symmetric and positive semi-definite, given in full (both halves); repeated entries add up. x has g's length,
/// the rows are as many as row_lower. A side without a bound is +-kUnbounded.
struct QuadraticProgramme {
    std::vector<Entry> hessian;
    std::vector<double> gradient;
    std::vector<double> lower, upper;
    std::vector<Entry> rows;
    std::vector<double> row_lower, row_upper;
};

/// How far a point is from being the optimum: each is 0 there, in the units of the problem.
struct KktResiduals {
    double stationarity = 0.0;  // largest |Hx + g - A'y - z|
    double primal = 0.0;        // largest violation of a bound or row
    double complementarity =
        0.0;  // largest |multiplier| x distance to the side it pushes from; wrong signs count whole
    double largest() const;
};

/// x with its multipliers: y of the rows, z of the bounds; positive pushes up from a lower side, negative down from an
/// upper side.
struct QuadraticSolution {
    std::vector<double> x, row_multipliers, bound_multipliers;
    double objective = 0.0;
    KktResiduals residuals;  // computed by us from x, y, z, whatever the solver says
    int iterations = 0;
};

/// Largest residual, relative to the size of gradient and bounds, at which a solution is handed out.
inline constexpr double kCertified = 1e-6;

/// Solves, and certifies the answer by its own residuals. Deterministic.
/// Errors: `conflict` when no x satisfies all bounds and rows, or when the solver's answer does not certify.
Result<QuadraticSolution> solve(const QuadraticProgramme& programme);

/// Residuals of a point with multipliers, for tests and for whoever trusts no solver.
KktResiduals kkt_residuals(const QuadraticProgramme& programme, const std::vector<double>& x,
                           const std::vector<double>& row_multipliers, const std::vector<double>& bound_multipliers);

}  // namespace revwright
