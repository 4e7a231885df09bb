#include "numeric/quadratic_programme.h"

#include <ClpSimplex.hpp>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

#include "numeric/interior_point.h"

namespace revwright {
namespace {

constexpr const char* kNothingFits = "no change satisfies all bounds at once";

/// Compressed columns: what Clp wants of a matrix.
struct Columns {
    std::vector<CoinBigIndex> starts;
    std::vector<int> rows;
    std::vector<double> values;
};

Columns compress(std::vector<Entry> entries, std::size_t columns) {
    std::ranges::stable_sort(entries, [](const Entry& a, const Entry& b) {
        return a.column != b.column ? a.column < b.column : a.row < b.row;
    });
    Columns out;
    out.starts.assign(columns + 1, 0);
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const bool repeats =
            i > 0 && entries[i - 1].column == entries[i].column && entries[i - 1].row == entries[i].row;
        if (repeats) {
            out.values.back() += entries[i].value;
            continue;
        }
        out.rows.push_back(static_cast<int>(entries[i].row));
        out.values.push_back(entries[i].value);
        ++out.starts[entries[i].column + 1];
    }
    std::partial_sum(out.starts.begin(), out.starts.end(), out.starts.begin());
    return out;
}

std::vector<double> multiply(const std::vector<Entry>& entries, const std::vector<double>& x, std::size_t rows) {
    std::vector<double> product(rows, 0.0);
    for (const Entry& e : entries) product[e.row] += e.value * x[e.column];
    return product;
}

double violation(double value, double lower, double upper) { return std::max({0.0, lower - value, value - upper}); }

/// |multiplier| x distance to the side it pushes from. Where that side has no bound the multiplier itself is the error.
double slackness(double multiplier, double value, double lower, double upper) {
    const double side = multiplier > 0.0 ? lower : upper;
    if (multiplier == 0.0) return 0.0;
    return std::isfinite(side) ? std::abs(multiplier) * std::min(1.0, std::abs(value - side)) : std::abs(multiplier);
}

double scale_of(const QuadraticProgramme& p) {
    double scale = 1.0;
    for (const double g : p.gradient) scale = std::max(scale, std::abs(g));
    for (const auto* side : {&p.lower, &p.upper, &p.row_lower, &p.row_upper})
        for (const double b : *side)
            if (std::isfinite(b)) scale = std::max(scale, std::abs(b));
    return scale;
}

void check_shape(const QuadraticProgramme& p) {
    assert(p.lower.size() == p.gradient.size() && p.upper.size() == p.gradient.size());
    assert(p.row_lower.size() == p.row_upper.size());
    (void)p;
}

/// Whether any x satisfies all bounds and rows. Clp's simplex method proves it either way.
bool has_feasible_point(const QuadraticProgramme& p) {
    const std::size_t n = p.gradient.size();
    const Columns a = compress(p.rows, n);
    const std::vector<double> no_cost(n, 0.0);
    ClpSimplex clp;
    clp.setLogLevel(0);
    clp.loadProblem(static_cast<int>(n), static_cast<int>(p.row_lower.size()), a.starts.data(), a.rows.data(),
                    a.values.data(), p.lower.data(), p.upper.data(), no_cost.data(), p.row_lower.data(),
                    p.row_upper.data());
    clp.primal();
    return clp.status() != 1;
}

QuadraticSolution certify(const QuadraticProgramme& p, const InteriorPoint& found) {
    const std::size_t n = p.gradient.size();
    QuadraticSolution s;
    s.x = found.x;
    for (std::size_t i = 0; i < n; ++i) s.x[i] = std::clamp(s.x[i], p.lower[i], p.upper[i]);
    s.row_multipliers = found.row_multipliers;
    // Bound multipliers are what stationarity leaves over, so that residual is exact and complementarity carries it.
    const std::vector<double> hx = multiply(p.hessian, s.x, n);
    s.bound_multipliers = hx;
    for (std::size_t i = 0; i < n; ++i) {
        s.bound_multipliers[i] += p.gradient[i];
        s.objective += s.x[i] * (p.gradient[i] + 0.5 * hx[i]);
    }
    for (const Entry& e : p.rows) s.bound_multipliers[e.column] -= e.value * s.row_multipliers[e.row];
    s.residuals = kkt_residuals(p, s.x, s.row_multipliers, s.bound_multipliers);
    s.iterations = found.iterations;
    return s;
}

}  // namespace

double KktResiduals::largest() const { return std::max({stationarity, primal, complementarity}); }

KktResiduals kkt_residuals(const QuadraticProgramme& p, const std::vector<double>& x,
                           const std::vector<double>& row_multipliers, const std::vector<double>& bound_multipliers) {
    check_shape(p);
    KktResiduals r;
    std::vector<double> left = multiply(p.hessian, x, x.size());
    for (std::size_t i = 0; i < x.size(); ++i) left[i] += p.gradient[i] - bound_multipliers[i];
    for (const Entry& e : p.rows) left[e.column] -= e.value * row_multipliers[e.row];
    for (std::size_t i = 0; i < x.size(); ++i) {
        r.stationarity = std::max(r.stationarity, std::abs(left[i]));
        r.primal = std::max(r.primal, violation(x[i], p.lower[i], p.upper[i]));
        r.complementarity = std::max(r.complementarity, slackness(bound_multipliers[i], x[i], p.lower[i], p.upper[i]));
    }
    const std::vector<double> ax = multiply(p.rows, x, p.row_lower.size());
    for (std::size_t k = 0; k < ax.size(); ++k) {
        r.primal = std::max(r.primal, violation(ax[k], p.row_lower[k], p.row_upper[k]));
        r.complementarity =
            std::max(r.complementarity, slackness(row_multipliers[k], ax[k], p.row_lower[k], p.row_upper[k]));
    }
    return r;
}

Result<QuadraticSolution> solve(const QuadraticProgramme& p) {
    check_shape(p);
    for (std::size_t i = 0; i < p.gradient.size(); ++i)
        if (p.lower[i] > p.upper[i]) return fail(Fault::conflict, kNothingFits);
    const auto found = interior_point(p);
    if (!found)
        return fail(Fault::conflict, has_feasible_point(p) ? "the quadratic programme was not solved" : kNothingFits);
    QuadraticSolution solution = certify(p, *found);
    const double allowed = kCertified * scale_of(p);
    if (!(solution.residuals.largest() <= allowed))
        return fail(Fault::conflict, fmt::format("the quadratic programme's answer does not certify: residual {:.3g}, "
                                                 "allowed {:.3g}",
                                                 solution.residuals.largest(), allowed));
    return solution;
}

}  // namespace revwright
