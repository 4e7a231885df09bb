#include "numeric/quadratic_programme.h"

#include <cstdint>
#include <gtest/gtest.h>
#include <random>
#include <rapidcheck/gtest.h>

namespace revwright {
namespace {

void add_square(std::vector<Entry>& hessian, const std::vector<std::pair<std::size_t, double>>& form, double weight) {
    for (const auto& [i, a] : form)
        for (const auto& [j, b] : form) hessian.push_back({i, j, weight * a * b});
}

// min (x - 1)^2 + (y - 2.5)^2 subject to five half planes; solution (1.4, 1.7).
// Source: Nocedal and Wright, Numerical Optimization, 2nd ed., example 16.4 (from memory).
TEST(QuadraticProgramme, SolvesATextbookExample) {
    QuadraticProgramme p;
    p.hessian = {{0, 0, 2.0}, {1, 1, 2.0}};
    p.gradient = {-2.0, -5.0};
    p.lower = {0.0, 0.0};
    p.upper = {kUnbounded, kUnbounded};
    p.rows = {{0, 0, 1.0}, {0, 1, -2.0}, {1, 0, -1.0}, {1, 1, -2.0}, {2, 0, -1.0}, {2, 1, 2.0}};
    p.row_lower = {-2.0, -6.0, -2.0};
    p.row_upper = {kUnbounded, kUnbounded, kUnbounded};
    const auto s = solve(p);
    ASSERT_TRUE(s) << s.error().what;
    EXPECT_NEAR(s->x[0], 1.4, 1e-9);
    EXPECT_NEAR(s->x[1], 1.7, 1e-9);
    EXPECT_NEAR(s->row_multipliers[0], 0.8, 1e-9);
    EXPECT_NEAR(s->objective, -6.45, 1e-9);  // 0.8 without the constant 7.25
}

TEST(QuadraticProgramme, ALinearObjectiveEndsAtTheBounds) {
    QuadraticProgramme p;
    p.gradient = {-1.0, 2.0};
    p.lower = {-3.0, -4.0};
    p.upper = {5.0, 6.0};
    const auto s = solve(p);
    ASSERT_TRUE(s) << s.error().what;
    EXPECT_NEAR(s->x[0], 5.0, 1e-9);
    EXPECT_NEAR(s->x[1], -4.0, 1e-9);
    EXPECT_EQ(s->bound_multipliers, (std::vector{-1.0, 2.0}));
}

TEST(QuadraticProgramme, SaysWhenNothingSatisfiesAllBounds) {
    QuadraticProgramme p;
    p.hessian = {{0, 0, 1.0}, {1, 1, 1.0}};
    p.gradient = {0.0, 0.0};
    p.lower = {0.0, 0.0};
    p.upper = {1.0, 1.0};
    p.rows = {{0, 0, 1.0}, {0, 1, 1.0}};
    p.row_lower = {3.0};
    p.row_upper = {kUnbounded};
    const auto s = solve(p);
    ASSERT_FALSE(s);
    EXPECT_EQ(s.error().what, "no change satisfies all bounds at once");
}

TEST(QuadraticProgramme, ResidualsOfAWrongAnswerAreNotZero) {
    QuadraticProgramme p;
    p.hessian = {{0, 0, 2.0}};
    p.gradient = {-2.0};
    p.lower = {0.0};
    p.upper = {10.0};
    EXPECT_EQ(kkt_residuals(p, {1.0}, {}, {0.0}).largest(), 0.0);
    EXPECT_EQ(kkt_residuals(p, {2.0}, {}, {0.0}).stationarity, 2.0);
    EXPECT_GE(kkt_residuals(p, {2.0}, {}, {2.0}).complementarity, 1.0) << "pushes up, but the lower side is 2 away";
    EXPECT_EQ(kkt_residuals(p, {11.0}, {}, {20.0}).primal, 1.0);
}

/// A table of changes as the proposal poses it: gain, second differences, boxes, neighbour differences.
QuadraticProgramme table_programme(std::size_t side, const std::vector<double>& gain, const std::vector<double>& cap) {
    const std::size_t n = side * side;
    QuadraticProgramme p;
    p.gradient.resize(n);
    p.lower.resize(n);
    p.upper.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        p.gradient[i] = -gain[i % gain.size()];
        p.upper[i] = cap[i % cap.size()];
        p.lower[i] = std::min(0.0, p.upper[i]) - 3.0;
        p.hessian.push_back({i, i, 0.01});
    }
    const auto along = [&](std::size_t i, std::size_t step, std::size_t place) {
        if (place + 2 < side) add_square(p.hessian, {{i, 1.0}, {i + step, -2.0}, {i + 2 * step, 1.0}}, 0.05);
        if (place + 1 >= side) return;
        p.rows.push_back({p.row_lower.size(), i, 1.0});
        p.rows.push_back({p.row_lower.size(), i + step, -1.0});
        p.row_lower.push_back(-1.5);
        p.row_upper.push_back(1.5);
    };
    for (std::size_t r = 0; r < side; ++r)
        for (std::size_t c = 0; c < side; ++c) {
            along(r * side + c, 1, c);
            along(r * side + c, side, r);
        }
    return p;
}

RC_GTEST_PROP(QuadraticProgramme, EveryAnswerCertifiesItself, ()) {
    const std::size_t side = *rc::gen::inRange<std::size_t>(2, 9);
    const auto tenths = [](int low, int high, std::size_t count) {
        std::vector<double> out;
        for (const int v : *rc::gen::container<std::vector<int>>(count, rc::gen::inRange(low, high)))
            out.push_back(0.1 * v);
        return out;
    };
    const QuadraticProgramme p = table_programme(side, tenths(-5, 20, side * side), tenths(-10, 16, side * side));
    const auto s = solve(p);
    if (!s) {
        // Feasible by construction unless two neighbours' boxes lie too far apart, which these ranges rule out.
        RC_FAIL(s.error().what);
    }
    RC_ASSERT(kkt_residuals(p, s->x, s->row_multipliers, s->bound_multipliers).largest() <= 2e-5);
}

TEST(QuadraticProgramme, HoldsEqualitiesAndFixedVariables) {
    QuadraticProgramme p;
    p.hessian = {{0, 0, 1.0}, {1, 1, 1.0}, {2, 2, 1.0}};
    p.gradient = {0.0, 0.0, 0.0};
    p.lower = {-kUnbounded, -kUnbounded, 2.0};
    p.upper = {kUnbounded, kUnbounded, 2.0};
    p.rows = {{0, 0, 1.0}, {0, 1, 1.0}, {0, 2, 1.0}};
    p.row_lower = {6.0};
    p.row_upper = {6.0};
    const auto s = solve(p);
    ASSERT_TRUE(s) << s.error().what;
    EXPECT_NEAR(s->x[0], 2.0, 1e-9);
    EXPECT_NEAR(s->x[1], 2.0, 1e-9);
    EXPECT_NEAR(s->row_multipliers[0], 2.0, 1e-9);
}

/// Small whole numbers, flat directions, fixed variables, equalities, and a point at which many sides meet.
QuadraticProgramme degenerate_programme(std::uint64_t seed) {
    std::mt19937_64 engine(seed);
    const auto below = [&](std::size_t n) { return static_cast<std::size_t>(engine() % n); };
    const auto whole = [&](std::size_t most) {
        return static_cast<double>(below(2 * most + 1)) - static_cast<double>(most);
    };
    const auto room = [&] { return static_cast<double>(below(3)); };
    const std::size_t n = 2 + below(40), rows = below(30), rank = below(n + 1);
    QuadraticProgramme p;
    for (std::size_t k = 0; k < rank; ++k) {
        std::vector<std::pair<std::size_t, double>> form;
        for (int term = 0; term < 4; ++term) form.emplace_back(below(n), whole(3));
        add_square(p.hessian, form, 1.0);
    }
    std::vector<double> inside;
    for (std::size_t i = 0; i < n; ++i) {
        inside.push_back(whole(4));
        p.gradient.push_back(whole(5));
        p.lower.push_back(inside[i] - room());
        p.upper.push_back(inside[i] + room());
    }
    for (std::size_t k = 0; k < rows; ++k) {
        double value = 0.0;
        for (int term = 0; term < 3; ++term) {
            p.rows.push_back({k, below(n), whole(3)});
            value += p.rows.back().value * inside[p.rows.back().column];
        }
        const std::size_t kind = below(4);
        p.row_lower.push_back(kind == 1 ? -kUnbounded : value - (kind == 0 ? 0.0 : room()));
        p.row_upper.push_back(kind == 2 ? kUnbounded : value + (kind == 0 ? 0.0 : room()));
    }
    return p;
}

TEST(QuadraticProgramme, CertifiesWhereManySidesMeet) {
    for (std::uint64_t seed = 0; seed < 300; ++seed) {
        const QuadraticProgramme p = degenerate_programme(seed);
        const auto s = solve(p);
        ASSERT_TRUE(s) << "seed " << seed << ": " << s.error().what;
        const auto residuals = kkt_residuals(p, s->x, s->row_multipliers, s->bound_multipliers);
        EXPECT_LE(residuals.largest(), 20.0 * kCertified) << "seed " << seed;  // no datum here exceeds 20 by much
    }
}

TEST(QuadraticProgramme, SameProblemSameBits) {
    const QuadraticProgramme p = table_programme(12, {0.3, 0.7, 1.1, 0.0, -0.2}, {0.0, 1.0, 1.5, 0.0, 0.0, -1.0, 1.0});
    const auto a = solve(p);
    const auto b = solve(p);
    ASSERT_TRUE(a && b);
    EXPECT_EQ(a->x, b->x);
    EXPECT_EQ(a->row_multipliers, b->row_multipliers);
}

}  // namespace
}  // namespace revwright
