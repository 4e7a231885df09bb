#include "power/coast_time.h"

#include <array>
#include <cmath>
#include <gtest/gtest.h>

namespace revwright {
namespace {

/// Coefficients for speeds in km/h, as regulations print them.
constexpr RoadLoad metric(double a, double b, double c) { return {{a}, {b * 3.6}, {c * 3.6 * 3.6}}; }

// Pounds of force and miles per hour, exact by definition.
constexpr double kPoundForce = 4.4482216152605, kPound = 0.45359237, kMileAnHour = 0.44704;
constexpr RoadLoad imperial(double a, double b, double c) {
    return {{a * kPoundForce}, {b * kPoundForce / kMileAnHour}, {c * kPoundForce / kMileAnHour / kMileAnHour}};
}

TEST(CoastTime, MatchesTheRegulationsTable) {
    // [CFR86.529-98] figure F98-9 (motorcycles), 70 to 60 km/h; C is printed to three digits: time within 0.02 s.
    constexpr struct {
        double mass, a, c, seconds;
    } kRows[] = {{100.0, 0.0, 0.0224, 2.95},  {110.0, 0.82, 0.0227, 3.18},  {150.0, 4.32, 0.0238, 3.99},
                 {200.0, 8.69, 0.0252, 4.85}, {250.0, 13.06, 0.0266, 5.57}, {300.0, 17.43, 0.0279, 6.18},
                 {340.0, 20.92, 0.0290, 6.60}};
    for (const auto& row : kRows) {
        const auto time =
            coast_time({row.mass}, metric(row.a, 0.0, row.c), kilometres_per_hour(70.0), kilometres_per_hour(60.0));
        ASSERT_TRUE(time);
        EXPECT_NEAR(time->si, row.seconds, 0.02) << row.mass;
    }
}

TEST(CoastTime, MatchesATestCarOfThreeTerms) {
    // The 3,625 lb row of [EPA-test-cars]; times computed for this project by another program, mass times 1.03.
    const RoadLoad load = imperial(26.509, 0.19851, 0.016476);
    constexpr std::array kForces{std::pair{30.0, 47.29}, std::pair{50.0, 77.62}, std::pair{70.0, 121.14}};
    for (const auto& [mph, pounds] : kForces)
        EXPECT_NEAR(resistance(load, {mph * kMileAnHour}).si / kPoundForce, pounds, 0.006);
    const Mass effective{1.03 * 3625.0 * kPound};
    EXPECT_NEAR(coast_time(effective, load, {70.0 * kMileAnHour}, {60.0 * kMileAnHour})->si, 15.65, 0.006);
    EXPECT_NEAR(coast_time(effective, load, {50.0 * kMileAnHour}, {40.0 * kMileAnHour})->si, 24.81, 0.006);
}

TEST(CoastTime, TheIntegralAndItsSumAreOne) {
    // A trace of b asks for the sum; without it the closed form answers.
    for (const double a : {0.0, 120.0})
        for (const double c : {0.0, 0.45}) {
            if (a + c == 0.0) continue;
            const double closed = coast_time({1500.0}, {{a}, {0.0}, {c}}, {40.0}, {4.0})->si;
            const double summed = coast_time({1500.0}, {{a}, {1e-12}, {c}}, {40.0}, {4.0})->si;
            EXPECT_NEAR(summed / closed, 1.0, 1e-8) << a << " " << c;
        }
}

TEST(CoastTime, PartsOfTheWayAddUp) {
    const RoadLoad load{{140.0}, {-2.0}, {0.5}};
    const double whole = coast_time({1500.0}, load, {35.0}, {5.0})->si;
    EXPECT_NEAR(coast_time({1500.0}, load, {35.0}, {17.0})->si + coast_time({1500.0}, load, {17.0}, {5.0})->si, whole,
                1e-7);
}

TEST(CoastTime, ACarThatNothingSlowsNeverGetsThere) {
    EXPECT_FALSE(coast_time({1500.0}, {{-50.0}, {0.0}, {0.5}}, {20.0}, {5.0}));
    EXPECT_FALSE(coast_time({1500.0}, {{10.0}, {-4.5}, {0.5}}, {20.0}, {2.0}));  // held up in between only
}

TEST(CoastTime, WheelPowerOfAnAcceleratingCarIsResistanceAndMass) {
    // By hand: 1500 kg, 0.010, 0.62 m2, 1.2 kg/m3, 100 km/h and 1 m/s2 with 1.03 of the mass: 54.9760 kW.
    const Speed v = kilometres_per_hour(100.0);
    const Force push = resistance(road_load({1500.0}, 0.010, {0.62}, {1.2}), v) + Force{1.03 * 1500.0};
    EXPECT_NEAR((push * v).si * 1e-3, 54.9760, 0.00006);
}

TEST(StatisticalAccuracy, FollowsTheDirectivesTable) {
    // [70/220/EEC] Annex III, second hand: t = 3.2 for n = 4 and 2.2 for n = 10. Times with an sd of 1 around 50 s.
    const double step = std::sqrt(0.75);  // -1, 1, -1, 1 times this has an sd of 1
    const std::array four{Duration{50.0 - step}, Duration{50.0 + step}, Duration{50.0 - step}, Duration{50.0 + step}};
    EXPECT_NEAR(*statistical_accuracy_pct(four), 100.0 * 3.2 * 1.0 / (2.0 * 50.0), 1e-9);
    std::array<Duration, 10> ten;
    for (std::size_t i = 0; i < ten.size(); ++i) ten[i].si = 50.0 + (i % 2 == 0 ? 1.0 : -1.0) * std::sqrt(0.9);
    EXPECT_NEAR(*statistical_accuracy_pct(ten), 100.0 * 2.2 / (std::sqrt(10.0) * 50.0), 1e-9);
    EXPECT_LT(*statistical_accuracy_pct(ten), 2.0);
    EXPECT_FALSE(statistical_accuracy_pct(std::span(four).first(3)));
}

}  // namespace
}  // namespace revwright
