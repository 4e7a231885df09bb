#include "review/refresh.h"

#include <cmath>
#include <functional>
#include <gtest/gtest.h>
#include <limits>

#include "review/review_test_log.h"

namespace revwright {
namespace {

using Shape = std::function<double(double)>;

struct Recorded {
    std::vector<double> times, values;
    Series series() const { return {times, values}; }
};

/// Rows at `row_hz`; the value in them is the shape as it was when the channel was last renewed, rounded.
Recorded in_rows(const Shape& shape, double row_hz, double refresh_hz, double resolution, double noise = 0.0,
                 std::uint64_t seed = 1) {
    testing::Noise random(seed);
    Recorded log;
    double renewed = -1.0, value = 0.0;
    for (int i = 0; i < static_cast<int>(120.0 * row_hz); ++i) {
        const double t = i / row_hz;
        const double due = std::floor(t * refresh_hz + 1e-9) / refresh_hz;
        if (due > renewed) {
            renewed = due;
            value = shape(due) + noise * random.normal();
            if (resolution > 0.0) value = resolution * std::round(value / resolution);
        }
        log.times.push_back(t + 0.001 * std::round(random.normal()));
        log.values.push_back(value);
    }
    return log;
}

double sweep(double t) { return 3500.0 + 2500.0 * std::sin(0.8 * t); }
double warming(double t) { return 20.0 + 60.0 * (1.0 - std::exp(-t / 60.0)); }

TEST(Refresh, AFastQuantityIsRenewedAsOftenAsItIs) {
    for (const double hz : {25.0, 12.5, 10.0, 5.0, 4.0, 2.5, 1.0})
        for (const double resolution : {0.0, 0.5, 10.0})
            for (const double noise : {0.0, 2.0}) {
                SCOPED_TRACE(::testing::Message() << hz << " Hz, step " << resolution << ", noise " << noise);
                const Renewal found = renewal_of(in_rows(sweep, 25.0, hz, resolution, noise).series());
                ASSERT_TRUE(found.refresh_hz.has_value());
                EXPECT_NEAR(*found.refresh_hz, hz, 0.1 * hz);
            }
}

// A temperature that creeps by one step now and then: what is said must be right, and may be nothing.
TEST(Refresh, ASlowQuantityIsRenewedAsOftenAsItIsOrItIsUnknown) {
    int told = 0;
    for (const double hz : {25.0, 12.5, 5.0, 2.5, 1.0})
        for (const double resolution : {0.25, 0.5, 1.0})
            for (const double noise : {0.0, 0.1, 0.5})
                for (std::uint64_t seed = 1; seed <= 4; ++seed) {
                    SCOPED_TRACE(::testing::Message() << hz << " Hz, step " << resolution << ", noise " << noise);
                    const Renewal found = renewal_of(in_rows(warming, 25.0, hz, resolution, noise, seed).series());
                    if (!found.refresh_hz) continue;
                    ++told;
                    EXPECT_NEAR(*found.refresh_hz, hz, 0.1 * hz);
                }
    EXPECT_GE(told, 90) << "of 180: with noise of a step or more it can be told";
}

TEST(Refresh, ASteadyQuantityIsUnknownNotAsFastAsTheRows) {
    const auto steady = [](double) { return 88.0; };
    EXPECT_FALSE(renewal_of(in_rows(steady, 25.0, 25.0, 0.5).series()).refresh_hz.has_value());
    const auto pedal = [](double t) { return std::fmod(t, 40.0) < 8.0 ? 100.0 : 15.0; };
    EXPECT_FALSE(renewal_of(in_rows(pedal, 25.0, 25.0, 0.5).series()).refresh_hz.has_value());
    // One step every 17.3 rows: the slope of a coarse channel that may well be new in every row.
    const auto slope = [](double t) { return 20.0 + t / (17.3 / 25.0); };
    EXPECT_FALSE(renewal_of(in_rows(slope, 25.0, 25.0, 1.0).series()).refresh_hz.has_value());
}

TEST(Refresh, ACounterThatKeepsTimeIsRenewedThatOften) {
    const auto counter = [](double t) { return 20.0 + std::floor(2.5 * t + 1e-6); };
    EXPECT_NEAR(renewal_of(in_rows(counter, 25.0, 2.5, 0.0).series()).refresh_hz.value_or(0.0), 2.5, 0.25);
}

TEST(Refresh, BlanksBetweenSamplesAreNoRepeats) {
    Recorded log = in_rows([](double) { return 88.0; }, 25.0, 25.0, 0.5);
    for (std::size_t i = 0; i < log.values.size(); ++i)
        if (i % 5 != 0) log.values[i] = std::numeric_limits<double>::quiet_NaN();
    EXPECT_NEAR(renewal_of(log.series()).refresh_hz.value_or(0.0), 5.0, 0.1);
}

TEST(Refresh, HolesDoNotCount) {
    Recorded log = in_rows(sweep, 25.0, 5.0, 0.5);
    for (std::size_t i = 0; i < log.times.size(); ++i) log.times[i] += 3.0 * std::floor(static_cast<double>(i) / 500.0);
    EXPECT_NEAR(renewal_of(log.series()).refresh_hz.value_or(0.0), 5.0, 0.5);
}

TEST(Refresh, TheResolutionIsTheStepAllValuesAreMultiplesOf) {
    for (const double resolution : {0.1, 0.75, 3.0, 0.390625}) {
        const auto found = renewal_of(in_rows(sweep, 25.0, 25.0, resolution, 1.0).series()).resolution;
        ASSERT_TRUE(found.has_value()) << resolution;
        EXPECT_NEAR(*found, resolution, 1e-6);
    }
    EXPECT_FALSE(renewal_of(in_rows(sweep, 25.0, 25.0, 0.0, 1.0).series()).resolution.has_value());
}

}  // namespace
}  // namespace revwright
