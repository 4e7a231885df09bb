#pragma once

#include <array>
#include <cstddef>

namespace revwright {

/// The four cubic B-splines that are not zero at one place, their values and slopes there.
struct SplineBasis {
    std::size_t first = 0;  // coefficient of the first of the four
    std::array<double, 4> value = {};
    std::array<double, 4> slope = {};  // per unit of x
};

/// Uniform cubic B-splines: smooth to the second derivative, each cell of the line touched by four coefficients.
///
/// Source: [DeBoor1978] (from memory); the basis adds up to 1 everywhere.
class UniformSpline {
public:
    /// Covers from..to, the ends included. Precondition: from < to, step > 0.
    UniformSpline(double from, double to, double step);
    std::size_t coefficients() const { return coefficients_; }
    /// Outside the line the place is its nearest end.
    SplineBasis at(double x) const;

private:
    double from_, step_;
    std::size_t coefficients_;
};

}  // namespace revwright
