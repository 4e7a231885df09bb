#include "power/torque_spline.h"

#include <gtest/gtest.h>
#include <limits>
#include <numeric>

namespace revwright {
namespace {

TEST(UniformSpline, AddsUpToOneAndCoversItsEnds) {
    const UniformSpline spline(100.0, 460.0, 50.0);
    EXPECT_EQ(spline.coefficients(), 11U);
    for (double x = 90.0; x <= 470.0; x += 3.7) {
        const SplineBasis basis = spline.at(x);
        EXPECT_NEAR(std::accumulate(basis.value.begin(), basis.value.end(), 0.0), 1.0, 1e-14) << x;
        EXPECT_NEAR(std::accumulate(basis.slope.begin(), basis.slope.end(), 0.0), 0.0, 1e-14) << x;
        EXPECT_LE(basis.first + 4, spline.coefficients()) << x;
    }
}

TEST(UniformSpline, RunsThroughAStraightLine) {
    // Coefficients on a line, at the places their splines are centred on, give that line: linear precision.
    const UniformSpline spline(0.0, 10.0, 1.0);
    for (double x = 0.0; x <= 10.0; x += 0.31) {
        const SplineBasis basis = spline.at(x);
        double value = 0.0, slope = 0.0;
        for (std::size_t k = 0; k < 4; ++k) {
            const double coefficient = 3.0 + 2.0 * (static_cast<double>(basis.first + k) - 1.0);
            value += basis.value[k] * coefficient, slope += basis.slope[k] * coefficient;
        }
        EXPECT_NEAR(value, 3.0 + 2.0 * x, 1e-12) << x;
        EXPECT_NEAR(slope, 2.0, 1e-12) << x;
    }
}

TEST(UniformSpline, SlopeIsThatOfTheValue) {
    const UniformSpline spline(0.0, 10.0, 0.7);
    for (const double x : {0.35, 1.4, 5.01, 9.9}) {
        const SplineBasis low = spline.at(x - 1e-6), here = spline.at(x), high = spline.at(x + 1e-6);
        if (low.first != high.first) continue;
        for (std::size_t k = 0; k < 4; ++k)
            EXPECT_NEAR(here.slope[k], (high.value[k] - low.value[k]) / 2e-6, 1e-8) << x << " " << k;
    }
}

TEST(UniformSpline, WhatIsNotANumberStaysWithinTheCoefficients) {
    const UniformSpline spline(0.0, 10.0, 1.0);
    for (const double x : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
                           -std::numeric_limits<double>::infinity()})
        EXPECT_LE(spline.at(x).first + 4, spline.coefficients()) << x;
}

}  // namespace
}  // namespace revwright
