#include "rig/random.h"

#include <cmath>
#include <gtest/gtest.h>

namespace revwright::rig {
namespace {

TEST(Random, SameSeedSameNumbersAndStreamsDiffer) {
    Random a{7, 1}, b{7, 1}, c{7, 2};
    const auto first = a.next();
    EXPECT_EQ(first, b.next());
    EXPECT_NE(first, c.next());
}

// Mean and deviation of 40,000 draws within five standard errors of theory.
TEST(Random, NormalAndPoissonHaveTheirMoments) {
    Random random{3};
    constexpr int kDraws = 40000;
    double sum = 0.0, squares = 0.0, events = 0.0, event_squares = 0.0;
    for (int i = 0; i < kDraws; ++i) {
        const double z = random.normal(0.0, 1.0);
        const double k = random.poisson(2.5);
        sum += z;
        squares += z * z;
        events += k;
        event_squares += k * k;
    }
    EXPECT_NEAR(sum / kDraws, 0.0, 5.0 / std::sqrt(kDraws));
    EXPECT_NEAR(squares / kDraws, 1.0, 5.0 * std::sqrt(2.0 / kDraws));
    const double mean = events / kDraws;
    EXPECT_NEAR(mean, 2.5, 5.0 * std::sqrt(2.5 / kDraws));
    EXPECT_NEAR(event_squares / kDraws - mean * mean, 2.5, 0.12);
}

}  // namespace
}  // namespace revwright::rig
