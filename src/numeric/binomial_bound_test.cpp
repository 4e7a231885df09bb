#include "numeric/binomial_bound.h"

#include <cmath>
#include <gtest/gtest.h>

namespace revwright {
namespace {

constexpr double kHalfDigit = 0.5e-6;

struct Interval {
    double events, trials, lower, upper;
};

// Clopper-Pearson 95 % two-sided intervals, computed with GNU Octave's betaincinv (an implementation other than ours).
constexpr Interval kTwoSided[] = {
    {0, 10, 0.0, 0.308497},       {1, 10, 0.002529, 0.445016},  {2, 10, 0.025211, 0.556095},
    {0, 20, 0.0, 0.168433},       {1, 20, 0.001265, 0.248733},  {3, 30, 0.021117, 0.265288},
    {1, 100, 0.000253, 0.054459}, {5, 100, 0.016432, 0.112835}, {10, 200, 0.024234, 0.090028},
};

TEST(RateBound, MatchesTwoSidedIntervals) {
    for (const Interval& row : kTwoSided) {
        SCOPED_TRACE(testing::Message() << row.events << "/" << row.trials);
        EXPECT_NEAR(rate_lower_bound(row.events, row.trials, 0.975), row.lower, kHalfDigit);
        EXPECT_NEAR(rate_upper_bound(row.events, row.trials, 0.975), row.upper, kHalfDigit);
    }
}

// One-sided 95 %, GNU Octave.
TEST(RateBound, MatchesOneSidedUppers) {
    EXPECT_NEAR(rate_upper_bound(1, 20, 0.95), 0.216106, kHalfDigit);
    EXPECT_NEAR(rate_upper_bound(5, 100, 0.95), 0.102253, kHalfDigit);
}

struct NoEvents {
    double trials, upper;
};

// Zero events: 1 - 0.05^(1/n); its limit is the rule of three (Hanley and Lippman-Hand, JAMA 249, 1983).
constexpr NoEvents kNone[] = {{1, 0.950000},  {3, 0.631597},  {5, 0.450720},   {10, 0.258866},  {20, 0.139108},
                              {30, 0.095034}, {59, 0.049508}, {100, 0.029513}, {300, 0.009936}, {1000, 0.002991}};

TEST(RateBound, WithoutEventsFollowsTheClosedForm) {
    for (const NoEvents& row : kNone) {
        EXPECT_NEAR(rate_upper_bound(0, row.trials, 0.95), row.upper, kHalfDigit);
        EXPECT_NEAR(rate_upper_bound(0, row.trials, 0.95), 1.0 - std::pow(0.05, 1.0 / row.trials), 1e-12);
    }
}

struct Needed {
    double rate, n90, n95, n99;
};

// Trials needed without an event to show a rate below `rate`: n = ceil(ln(1 - confidence) / ln(1 - rate)).
constexpr Needed kNeeded[] = {{0.2, 11, 14, 21},        {0.1, 22, 29, 44},     {0.05, 45, 59, 90},
                              {0.02, 114, 149, 228},    {0.01, 230, 299, 459}, {0.005, 460, 598, 919},
                              {0.001, 2302, 2995, 4603}};

TEST(RateBound, AgreesWithTheTableOfTrialsNeeded) {
    const auto just_enough = [](double n, double confidence, double rate) {
        EXPECT_LT(rate_upper_bound(0, n, confidence), rate);
        EXPECT_GT(rate_upper_bound(0, n - 1.0, confidence), rate);
    };
    for (const Needed& row : kNeeded) {
        just_enough(row.n90, 0.90, row.rate);
        just_enough(row.n95, 0.95, row.rate);
        just_enough(row.n99, 0.99, row.rate);
    }
}

TEST(RateBound, RisesWithPartEventsAndFallsWithTrials) {
    for (double events = 0.0; events < 5.0; events += 0.25) {
        EXPECT_LT(rate_upper_bound(events, 123.4, 0.95), rate_upper_bound(events + 0.25, 123.4, 0.95));
        EXPECT_GT(rate_upper_bound(events, 123.4, 0.95), rate_upper_bound(events, 124.4, 0.95));
    }
    EXPECT_EQ(rate_upper_bound(0.0, 0.0, 0.95), 1.0);
    EXPECT_EQ(rate_upper_bound(3.0, 2.5, 0.95), 1.0);
    EXPECT_EQ(rate_lower_bound(0.0, 0.0, 0.95), 0.0);
}

}  // namespace
}  // namespace revwright
