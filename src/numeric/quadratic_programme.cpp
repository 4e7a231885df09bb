#include "numeric/quadratic_programme.h"

#include <ClpSimplex.hpp>
#include <CoinPackedMatrix.hpp>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <fmt/format.h>
#include <tuple>

namespace revwright {
namespace {

constexpr const char* kNothingFits = "no change satisfies all bounds at once";

/// Clp compares with its tolerances in absolute numbers; a larger objective has it stop closer to the optimum.
constexpr double kObjectiveScale = 1e3;
constexpr double kTolerance = 1e-9;
/// How far sides are moved apart where the simplex method goes round in circles, and how often that is tried.
constexpr double kWidening = 1e-5;
constexpr unsigned kMostRestarts = 12;
constexpr int kMostIterations = 20000;

/// Clp's matrix, by columns; repeated entries are added up.
CoinPackedMatrix packed(std::vector<Entry> entries, std::size_t rows, std::size_t columns) {
    // By value as well: equal inputs in another order then add up to the same bits.
    std::ranges::sort(entries, {}, [](const Entry& e) { return std::tuple(e.column, e.row, e.value); });
    std::vector<int> row_of, column_of;
    std::vector<double> values;
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const Entry& e = entries[i];
        if (i > 0 && entries[i - 1].column == e.column && entries[i - 1].row == e.row) {
            values.back() += e.value;
            continue;
        }
        row_of.push_back(static_cast<int>(e.row));
        column_of.push_back(static_cast<int>(e.column));
        values.push_back(e.value);
    }
    CoinPackedMatrix matrix(true, row_of.data(), column_of.data(), values.data(),
                            static_cast<CoinBigIndex>(values.size()));
    matrix.setDimensions(static_cast<int>(rows), static_cast<int>(columns));
    return matrix;
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

void load(ClpSimplex& clp, const QuadraticProgramme& p) {
    const std::size_t n = p.gradient.size();
    std::vector<double> gradient = p.gradient;
    for (double& g : gradient) g *= kObjectiveScale;
    clp.setLogLevel(0);
    clp.loadProblem(packed(p.rows, p.row_lower.size(), n), p.lower.data(), p.upper.data(), gradient.data(),
                    p.row_lower.data(), p.row_upper.data());
    std::vector<Entry> half;  // Clp takes an off-diagonal entry for both of its places
    for (const Entry& e : p.hessian)
        if (e.row >= e.column) half.push_back({e.row, e.column, kObjectiveScale * e.value});
    if (!half.empty()) clp.loadQuadraticObjective(packed(std::move(half), n, n));
    clp.setPrimalTolerance(kTolerance);
    clp.setDualTolerance(kTolerance);
    clp.scaling(0);
    clp.setPerturbation(100);  // none: the answer is to belong to this problem
    clp.setMaximumIterations(kMostIterations);
}

/// Moves every side outwards by between half of kWidening and all of it, each by another amount. Where many sides meet
/// in one point the simplex method can go round in circles; moved apart, they no longer meet.
class Widened {
public:
    explicit Widened(unsigned turn) : state_(turn * 2654435761U) {}
    void apply(double* lower, double* upper, std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) {
            lower[i] -= next();  // an absent side stays infinite
            upper[i] += next();
        }
    }

private:
    double next() {
        state_ = state_ * 1664525U + 1013904223U;
        return kWidening * (0.5 + 0.5 * (state_ >> 8) / 16777216.0);
    }
    unsigned state_;
};

/// Solves with sides moved apart, then with the true ones from where that ended.
void restart(ClpSimplex& clp, const QuadraticProgramme& p, unsigned turn) {
    const std::size_t n = p.gradient.size(), rows = p.row_lower.size();
    if (turn > 1) clp.allSlackBasis(true);
    Widened widened(turn);
    widened.apply(clp.columnLower(), clp.columnUpper(), n);
    widened.apply(clp.rowLower(), clp.rowUpper(), rows);
    clp.primal();
    std::ranges::copy(p.lower, clp.columnLower());
    std::ranges::copy(p.upper, clp.columnUpper());
    std::ranges::copy(p.row_lower, clp.rowLower());
    std::ranges::copy(p.row_upper, clp.rowUpper());
    clp.primal();
}

/// What Clp found, with residuals of our own.
QuadraticSolution certify(const QuadraticProgramme& p, const ClpSimplex& clp) {
    const std::size_t n = p.gradient.size();
    QuadraticSolution s;
    s.x.assign(clp.primalColumnSolution(), clp.primalColumnSolution() + n);
    for (std::size_t i = 0; i < n; ++i) s.x[i] = std::clamp(s.x[i], p.lower[i], p.upper[i]);
    s.row_multipliers.assign(clp.dualRowSolution(), clp.dualRowSolution() + p.row_lower.size());
    for (double& y : s.row_multipliers) y /= kObjectiveScale;
    // Bound multipliers are what stationarity leaves over, so that residual is exact and complementarity carries it.
    const std::vector<double> hx = multiply(p.hessian, s.x, n);
    s.bound_multipliers = hx;
    for (std::size_t i = 0; i < n; ++i) {
        s.bound_multipliers[i] += p.gradient[i];
        s.objective += s.x[i] * (p.gradient[i] + 0.5 * hx[i]);
    }
    for (const Entry& e : p.rows) s.bound_multipliers[e.column] -= e.value * s.row_multipliers[e.row];
    s.residuals = kkt_residuals(p, s.x, s.row_multipliers, s.bound_multipliers);
    s.iterations = clp.numberIterations();
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
    ClpSimplex clp;
    load(clp, p);
    clp.primal();
    if (clp.status() == 1) return fail(Fault::conflict, kNothingFits);
    const double allowed = kCertified * scale_of(p);
    QuadraticSolution solution = certify(p, clp);
    for (unsigned turn = 1; turn <= kMostRestarts && !(solution.residuals.largest() <= allowed); ++turn) {
        restart(clp, p, turn);
        solution = certify(p, clp);
    }
    if (!(solution.residuals.largest() <= allowed))
        return fail(Fault::conflict, fmt::format("the quadratic programme's answer does not certify: residual {:.3g}, "
                                                 "allowed {:.3g}",
                                                 solution.residuals.largest(), allowed));
    return solution;
}

}  // namespace revwright
