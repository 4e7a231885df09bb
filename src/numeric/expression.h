#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "core/error.h"

namespace revwright {

/// A plain arithmetic expression of the inputs X1, X2 .. ("X" alone is X1), as the algebraic conversions of
/// measurement and description files hold: numbers, + - * / ^ (also written **), brackets, unary minus, and the
/// functions abs, sqrt, exp, ln, log (base 10), log10, pow, sin, cos, tan, asin, acos, atan, sinh, cosh, tanh, floor,
/// ceil, min, max. Names are read in any case. A value without one (1/0, ln of a negative) is a double that says so.
class Expression {
public:
    /// Errors: one sentence with the column where the expression stops making sense, for anything else than the above,
    /// for nesting beyond 64 and for more than 4,096 terms.
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
    std::size_t deepest_ = 0;  // of the stack
};

}  // namespace revwright
