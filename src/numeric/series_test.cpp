#include "numeric/series.h"

#include <cmath>
#include <gtest/gtest.h>
#include <vector>

#include "numeric/bracket.h"

namespace revwright {
namespace {

const std::vector<double> kTimes{0.0, 1.0, 3.0};
const std::vector<double> kValues{10.0, 20.0, 0.0};
const Series kSeries{kTimes, kValues};

TEST(Series, InterpolatesBetweenItsSamplesAndNowhereElse) {
    EXPECT_EQ(value_at(kSeries, 0.0), 10.0);
    EXPECT_EQ(value_at(kSeries, 0.25), 12.5);
    EXPECT_EQ(value_at(kSeries, 2.0), 10.0);
    EXPECT_EQ(value_at(kSeries, 3.0), 0.0);
    EXPECT_TRUE(std::isnan(value_at(kSeries, -0.1)));
    EXPECT_TRUE(std::isnan(value_at(kSeries, 3.1)));
    EXPECT_TRUE(std::isnan(value_at({}, 1.0)));
}

TEST(Series, SliceKeepsItsEnds) {
    EXPECT_EQ(slice(kSeries, 1.0, 3.0).size(), 2u);
    EXPECT_EQ(slice(kSeries, 1.1, 2.9).size(), 0u);
    EXPECT_EQ(slice(kSeries, 5.0, 4.0).size(), 0u);
}

// ASAM MCD-2 MC 1.6 interpolation example as quoted in a public library's tests: CHECKS 10.
TEST(Bracket, ReadsTheStandardsInterpolationExample) {
    const std::vector<double> x{0.0, 200.0, 400.0, 1000.0, 5700.0};
    const std::vector<double> y{2.0, 2.7, 3.0, 4.2, 4.9};
    const auto read = [&](double at) {
        const Bracket b = bracket(x, at);
        return y[b.index] + b.part * (y[b.index + 1] - y[b.index]);
    };
    EXPECT_DOUBLE_EQ(read(-1.0), 2.0);
    EXPECT_DOUBLE_EQ(read(850.0), 3.9);
    EXPECT_DOUBLE_EQ(read(8000.0), 4.9);
    EXPECT_TRUE(bracket(x, 8000.0).clamped);
    EXPECT_FALSE(bracket(x, 5700.0).clamped);
}

}  // namespace
}  // namespace revwright
