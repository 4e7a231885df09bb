#include "numeric/interior_point.h"

#include <Eigen/Sparse>
#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;
using Sparse = Eigen::SparseMatrix<double>;
using Triplets = std::vector<Eigen::Triplet<double>>;

constexpr int kMostIterations = 100;
constexpr double kConverged = 1e-10;       // of residuals and mean complementarity, relative to the data's size
constexpr double kStepBack = 0.995;        // of the way to the nearest side
constexpr double kFixedWidth = 1e-12;      // a row or variable narrower than this has no inside
constexpr double kRegularisation = 1e-11;  // keeps the factors of an equality row away from 0

Eigen::Index index(std::size_t i) { return static_cast<Eigen::Index>(i); }

/// The programme as inequalities C x >= d and equalities E x = e. Variables without width count as equalities.
struct Standard {
    Sparse h, c, e;
    Vector g, d, target;
    std::vector<std::ptrdiff_t> lower_side, upper_side, equal_side;  // of each row of the programme; -1 = none
};

/// Rows as they are collected: one at a time, with its right-hand side.
struct RowList {
    Triplets entries;
    std::vector<double> right;
    std::ptrdiff_t begin(double value) {
        right.push_back(value);
        return std::ssize(right) - 1;
    }
    Sparse matrix(std::size_t columns) const {
        Sparse m(index(right.size()), index(columns));
        m.setFromTriplets(entries.begin(), entries.end());
        return m;
    }
    Vector vector() const { return Eigen::Map<const Vector>(right.data(), index(right.size())); }
};

void add_bounds(const QuadraticProgramme& p, RowList& inside, RowList& equal) {
    const auto put = [](RowList& list, std::size_t variable, double sign, double value) {
        const std::ptrdiff_t row = list.begin(sign * value);
        list.entries.emplace_back(row, index(variable), sign);
    };
    for (std::size_t i = 0; i < p.gradient.size(); ++i) {
        if (p.upper[i] - p.lower[i] < kFixedWidth) {
            put(equal, i, 1.0, p.lower[i]);
            continue;
        }
        if (std::isfinite(p.lower[i])) put(inside, i, 1.0, p.lower[i]);
        if (std::isfinite(p.upper[i])) put(inside, i, -1.0, p.upper[i]);
    }
}

void add_rows(const QuadraticProgramme& p, RowList& inside, RowList& equal, Standard& s) {
    const std::size_t rows = p.row_lower.size();
    s.lower_side.assign(rows, -1);
    s.upper_side.assign(rows, -1);
    s.equal_side.assign(rows, -1);
    for (std::size_t k = 0; k < rows; ++k) {
        if (p.row_upper[k] - p.row_lower[k] < kFixedWidth) {
            s.equal_side[k] = equal.begin(p.row_lower[k]);
            continue;
        }
        if (std::isfinite(p.row_lower[k])) s.lower_side[k] = inside.begin(p.row_lower[k]);
        if (std::isfinite(p.row_upper[k])) s.upper_side[k] = inside.begin(-p.row_upper[k]);
    }
    for (const Entry& a : p.rows) {
        if (s.equal_side[a.row] >= 0) equal.entries.emplace_back(s.equal_side[a.row], index(a.column), a.value);
        if (s.lower_side[a.row] >= 0) inside.entries.emplace_back(s.lower_side[a.row], index(a.column), a.value);
        if (s.upper_side[a.row] >= 0) inside.entries.emplace_back(s.upper_side[a.row], index(a.column), -a.value);
    }
}

Standard standard_form(const QuadraticProgramme& p) {
    Standard s;
    const std::size_t n = p.gradient.size();
    s.g = Eigen::Map<const Vector>(p.gradient.data(), index(n));
    Triplets entries;
    for (const Entry& e : p.hessian) entries.emplace_back(index(e.row), index(e.column), e.value);
    s.h.resize(index(n), index(n));
    s.h.setFromTriplets(entries.begin(), entries.end());
    RowList inside, equal;
    add_bounds(p, inside, equal);
    add_rows(p, inside, equal, s);
    s.c = inside.matrix(n);
    s.d = inside.vector();
    s.e = equal.matrix(n);
    s.target = equal.vector();
    return s;
}

/// The iterate: point, slacks of C x >= d with their multipliers, multipliers of E x = e.
struct Iterate {
    Vector x, s, z, y;
};
struct Residual {
    Vector dual, inside, equal;
};
struct Step {
    Vector x, s, z, y;
};

Residual residual_at(const Standard& p, const Iterate& at) {
    return {p.h * at.x + p.g - p.c.transpose() * at.z - p.e.transpose() * at.y, p.c * at.x - at.s - p.d,
            p.e * at.x - p.target};
}

double norm(const Vector& v) { return v.size() > 0 ? v.lpNorm<Eigen::Infinity>() : 0.0; }

/// The Newton system of one iteration, factorised once and solved twice.
class NewtonSystem {
public:
    explicit NewtonSystem(const Standard& p) : p_(p) {}

    bool factorise(const Iterate& at) {
        const Vector weight = at.z.cwiseQuotient(at.s);
        const Sparse k = p_.h + Sparse(p_.c.transpose() * weight.asDiagonal() * p_.c);
        const Eigen::Index n = p_.g.size(), m = p_.target.size();
        Triplets entries;
        for (Eigen::Index col = 0; col < n; ++col)
            for (Sparse::InnerIterator it(k, col); it; ++it) entries.emplace_back(it.row(), col, it.value());
        for (Eigen::Index i = 0; i < n; ++i) entries.emplace_back(i, i, kRegularisation);
        for (Eigen::Index col = 0; col < n; ++col)
            for (Sparse::InnerIterator it(p_.e, col); it; ++it) {
                entries.emplace_back(n + it.row(), col, it.value());
                entries.emplace_back(col, n + it.row(), it.value());
            }
        for (Eigen::Index i = 0; i < m; ++i) entries.emplace_back(n + i, n + i, -kRegularisation);
        Sparse system(n + m, n + m);
        system.setFromTriplets(entries.begin(), entries.end());
        if (!analysed_) factors_.analyzePattern(system);
        analysed_ = true;
        factors_.factorize(system);
        return factors_.info() == Eigen::Success;
    }

    /// `complementarity` is what s z is to lose.
    Step solve(const Iterate& at, const Residual& r, const Vector& complementarity) const {
        const Eigen::Index n = p_.g.size();
        Vector right(n + p_.target.size());
        const Vector pushed = (complementarity + at.z.cwiseProduct(r.inside)).cwiseQuotient(at.s);
        right.head(n) = -r.dual - p_.c.transpose() * pushed;
        right.tail(p_.target.size()) = -r.equal;
        const Vector both = factors_.solve(right);
        Step step;
        step.x = both.head(n);
        step.y = -both.tail(p_.target.size());
        step.s = p_.c * step.x + r.inside;
        step.z = -(complementarity + at.z.cwiseProduct(step.s)).cwiseQuotient(at.s);
        return step;
    }

private:
    const Standard& p_;
    Eigen::SimplicialLDLT<Sparse> factors_;
    bool analysed_ = false;
};

/// Largest part of the step that keeps `value` positive, at most 1.
double reach(const Vector& value, const Vector& step) {
    double part = 1.0;
    for (Eigen::Index i = 0; i < value.size(); ++i)
        if (step[i] < 0.0) part = std::min(part, -value[i] / step[i]);
    return part;
}

void move(Iterate& at, const Step& step, double primal, double dual) {
    at.x += primal * step.x;
    at.s += primal * step.s;
    at.z += dual * step.z;
    at.y += dual * step.y;
}

Iterate start(const Standard& p) {
    Iterate at{Vector::Zero(p.g.size()), Vector::Ones(p.d.size()), Vector::Ones(p.d.size()),
               Vector::Zero(p.target.size())};
    const Vector room = p.c * at.x - p.d;
    for (Eigen::Index i = 0; i < room.size(); ++i) at.s[i] = std::max(1.0, room[i]);
    return at;
}

/// One predictor-corrector iteration. A common step length for x and z, as a quadratic objective couples them.
bool iterate(const NewtonSystem& system, Iterate& at, const Residual& r) {
    const Vector now = at.s.cwiseProduct(at.z);
    const double count = std::max(1.0, static_cast<double>(now.size()));
    const double mu = now.sum() / count;
    const Step affine = system.solve(at, r, now);
    const double far = std::min(reach(at.s, affine.s), reach(at.z, affine.z));
    const double mu_affine = (at.s + far * affine.s).dot(at.z + far * affine.z) / count;
    const double centring = mu > 0.0 ? std::pow(mu_affine / mu, 3.0) : 0.0;
    const Vector wanted = now + affine.s.cwiseProduct(affine.z) - Vector::Constant(now.size(), centring * mu);
    const Step step = system.solve(at, r, wanted);
    const double part = std::min(1.0, kStepBack * std::min(reach(at.s, step.s), reach(at.z, step.z)));
    move(at, step, part, part);
    return at.x.allFinite() && at.z.allFinite() && at.s.allFinite();
}

InteriorPoint result_of(const Standard& p, const Iterate& at, std::size_t rows, int iterations) {
    InteriorPoint out;
    out.x.assign(at.x.begin(), at.x.end());
    out.row_multipliers.assign(rows, 0.0);
    for (std::size_t k = 0; k < rows; ++k) {
        if (p.lower_side[k] >= 0) out.row_multipliers[k] += at.z[p.lower_side[k]];
        if (p.upper_side[k] >= 0) out.row_multipliers[k] -= at.z[p.upper_side[k]];
        if (p.equal_side[k] >= 0) out.row_multipliers[k] += at.y[p.equal_side[k]];
    }
    out.iterations = iterations;
    return out;
}

}  // namespace

std::optional<InteriorPoint> interior_point(const QuadraticProgramme& programme) {
    const Standard p = standard_form(programme);
    NewtonSystem system(p);
    Iterate at = start(p);
    const double allowed = kConverged * std::max({1.0, norm(p.g), norm(p.d), norm(p.target)});
    for (int i = 0; i <= kMostIterations; ++i) {
        const Residual r = residual_at(p, at);
        const double gap = norm(at.s.cwiseProduct(at.z));
        if (std::max({norm(r.dual), norm(r.inside), norm(r.equal), gap}) <= allowed)
            return result_of(p, at, programme.row_lower.size(), i);
        if (!system.factorise(at) || !iterate(system, at, r)) return std::nullopt;
    }
    return std::nullopt;
}

}  // namespace revwright
