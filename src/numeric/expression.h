#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "core/error.h"

namespace revwright {

/// A plain arithmetic expression of the inputs X1, X2 .. ("X" alone is X1), as the algebraic conversions of
/// measurement and description files hold: numbers, + - * / ^ (also written **), brackets, signs, and the functions
/// abs, sqrt, exp, ln, log (base 10), log10, pow, sin, cos, tan, asin, acos, atan (also arcsin ..), sinh, cosh, tanh,
/// floor, ceil, min, max. Angles are in radians. Names are read in any case.
///
/// ^ binds tightest and from the right (2^3^2 = 2^9), a sign looser than it (-2^2 = -4, but 2^-1 = 0.5), then * and /,
/// then + and -. A value without one (1/0, ln of a negative) is a double that says so: infinite or not a number.
class Expression {
public:
    /// Errors: one sentence with the column where the expression stops making sense, for anything else than the above
    /// (comparisons, logic and bit operators among it), for nesting beyond 64, more than 4,096 steps, an input beyond
    /// X255. The error has no place: the caller knows which line of which file holds the text.
    static Result<Expression> parse(std::string_view text);

    /// x[0] is X1. Precondition: x.size() >= inputs().
    double operator()(std::span<const double> x) const;
    double operator()(double x1) const { return (*this)(std::span(&x1, 1)); }
    /// The highest input the expression names; 0 for a constant.
    std::size_t inputs() const { return inputs_; }

    /// One step of the compiled expression, in the order of a stack machine.
    struct Step {
        std::uint8_t what = 0;
        double number = 0.0;
    };

private:
    std::vector<Step> steps_;
    std::size_t inputs_ = 0;
};

}  // namespace revwright
