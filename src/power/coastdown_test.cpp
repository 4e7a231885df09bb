#include "power/coastdown.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "power/coast_time.h"
#include "power/coastdown_test_car.h"

namespace revwright {
namespace {

/// Runs there and back, in pairs.
void add_pairs(CoastdownTest& test, const CoastTestCar& car, int pairs, CoastTestNoise& noise,
               const CoastTestRun& drive = {}) {
    for (int i = 0; i < 2 * pairs; ++i) test.runs.push_back(coast_down(car, i % 2 == 0 ? 1.0 : -1.0, drive, noise));
}

/// Squared distance from the truth in standard deviations; 3 on average where the covariance is right.
double distance(const CoastdownFit& fit, const CoastTestCar& car) {
    const Eigen::Vector3d error = fit.load - true_load(car);
    return error.dot(fit.covariance.ldlt().solve(error));
}

TEST(Coastdown, FindsTheResistanceThatTheCarHas) {
    CoastTestNoise noise(1);
    const CoastTestCar car;
    CoastdownTest test = told_of(car);
    add_pairs(test, car, 4, noise);
    const auto fit = fit_coastdown(test);
    ASSERT_TRUE(fit) << fit.error().what;
    for (const double v : {8.0, 15.0, 22.0, 30.0}) {
        const double truth = car.a_n + car.b_n_per_m_per_s * v + car.c_n_per_m2_per_s2 * v * v;
        EXPECT_NEAR(fit->resistance_n({v}).mean, truth, 0.01 * truth);
        EXPECT_LT(fit->resistance_n({v}).sd, 0.005 * truth);
    }
    EXPECT_NEAR(fit->noise_m_per_s, 0.05, 0.005);
    EXPECT_LT(fit->walk_m_per_s, 0.005);
    // And so the time to coast: 90 to 50 km/h of the true car and of the one found.
    const Mass effective{car.mass_kg + car.turning_mass_kg};
    const RoadLoad truth{{car.a_n}, {car.b_n_per_m_per_s}, {car.c_n_per_m2_per_s2}};
    EXPECT_NEAR(coast_time(effective, fit->road_load(), {25.0}, {14.0})->si,
                coast_time(effective, truth, {25.0}, {14.0})->si, 0.2);
}

TEST(Coastdown, WithoutALinearTermItIsHeldAtZeroAndTheRestIsSurer) {
    CoastTestNoise noise(2);
    const CoastTestCar car{.b_n_per_m_per_s = 0.0};
    CoastdownTest test = told_of(car);
    add_pairs(test, car, 2, noise);
    const auto open = fit_coastdown(test);
    test.linear_term = false;
    const auto held = fit_coastdown(test);
    ASSERT_TRUE(open && held);
    EXPECT_EQ(held->load[1], 0.0);
    EXPECT_EQ(held->covariance.row(1).cwiseAbs().sum(), 0.0);
    EXPECT_LT(held->covariance(0, 0), 0.5 * open->covariance(0, 0));
    EXPECT_NEAR(held->load[0], car.a_n, 3.0 * std::sqrt(held->covariance(0, 0)));
}

TEST(Coastdown, BothWaysTellSlopeAndWindOneWayWidens) {
    CoastTestNoise noise(3);
    const CoastTestCar car{.slope = 0.004, .headwind_m_per_s = 2.0};
    CoastdownTest both = told_of(car);
    both.slope = {0.0, 0.004}, both.headwind_m_per_s = {0.0, 2.0};
    CoastdownTest one_way = both;
    for (int i = 0; i < 4; ++i) one_way.runs.push_back(coast_down(car, 1.0, {}, noise));
    add_pairs(both, car, 2, noise);
    const auto pair = fit_coastdown(both), alone = fit_coastdown(one_way);
    ASSERT_TRUE(pair && alone);
    EXPECT_NEAR(pair->slope.mean, car.slope, 3.0 * pair->slope.sd);
    EXPECT_NEAR(pair->headwind_m_per_s.mean, car.headwind_m_per_s, 3.0 * pair->headwind_m_per_s.sd);
    EXPECT_LT(pair->slope.sd, 0.0005);
    EXPECT_LT(distance(*pair, car), 14.2);  // 1 in 400 lies beyond
    // One way leaves the whole prior of the slope: 0.004 of the weight is 58 N.
    EXPECT_GT(alone->resistance_n({15.0}).sd, 40.0);
    EXPECT_LT(pair->resistance_n({15.0}).sd, 5.0);
}

TEST(Coastdown, AnUnknownMassMakesEveryForceAsUnknown) {
    CoastTestNoise noise(4);
    const CoastTestCar car;
    CoastdownTest test = told_of(car);
    test.mass_kg = {car.mass_kg, 0.03 * car.mass_kg};
    add_pairs(test, car, 4, noise);
    const auto fit = fit_coastdown(test);
    ASSERT_TRUE(fit);
    const Uncertain force = fit->resistance_n({20.0});
    EXPECT_NEAR(force.sd / force.mean, 0.03 * car.mass_kg / (car.mass_kg + car.turning_mass_kg), 0.001);
}

TEST(Coastdown, IntervalsHoldTheTruthAsOftenAsTheySay) {
    double inside = 0.0, distances = 0.0;
    constexpr int kTests = 40;
    for (int seed = 1; seed <= kTests; ++seed) {
        CoastTestNoise noise(100 + static_cast<std::uint64_t>(seed));
        const CoastTestCar told{.b_n_per_m_per_s = seed % 3 == 0 ? -1.5 : 1.0};
        CoastTestCar car = told;
        car.mass_kg *= 1.0 + 0.01 * noise.normal();
        car.turning_mass_kg *= 1.0 + 0.1 * noise.normal();
        car.slope = 0.003 * noise.normal();
        car.headwind_m_per_s = 1.5 * noise.normal();
        CoastdownTest test = told_of(told);
        test.mass_kg.sd = 0.01 * told.mass_kg, test.turning_mass_kg.sd = 0.1 * told.turning_mass_kg;
        test.slope = {0.0, 0.003}, test.headwind_m_per_s = {0.0, 1.5};
        for (int i = 0; i < 4; ++i) {
            CoastTestCar today = car;  // every run has a little of its own
            const RoadRun own{.along = i % 2 == 0 ? 1.0 : -1.0, .slope = {0.0, 0.0005}, .headwind_m_per_s = {0.0, 0.5}};
            today.slope += 0.0005 * noise.normal(), today.headwind_m_per_s += 0.5 * noise.normal();
            test.runs.push_back(coast_down(today, own.along, {.rate_hz = 2.0}, noise));
            test.runs.back().road = own;
        }
        const auto fit = fit_coastdown(test);
        ASSERT_TRUE(fit) << seed << ": " << fit.error().what;
        distances += distance(*fit, car) / kTests;
        const Uncertain force = fit->resistance_n({20.0});
        const double truth = Eigen::Vector3d(1.0, 20.0, 400.0).dot(true_load(car));
        inside += std::abs(force.mean - truth) < 1.96 * force.sd ? 100.0 / kTests : 0.0;
    }
    EXPECT_GE(inside, 87.0);  // of 40: fewer is a matter of one in thirty
    EXPECT_NEAR(distances, 3.0, 1.2);
}

TEST(Coastdown, GustsAreFoundAndWidenTheInterval) {
    constexpr double kWalk = 0.04;
    constexpr int kTests = 6;
    double distances = 0.0;
    for (const double lasting : {1.0, 6.0}) {
        double walk = 0.0;
        for (int seed = 1; seed <= kTests; ++seed) {
            CoastTestNoise noise(400 + static_cast<std::uint64_t>(seed));
            const CoastTestCar car{.gust_m_per_s2 = kWalk / std::sqrt(2.0 * lasting), .gust_s = lasting};
            CoastdownTest test = told_of(car);
            add_pairs(test, car, 2, noise, {.noise_m_per_s = 0.03});
            const auto fit = fit_coastdown(test);
            ASSERT_TRUE(fit) << fit.error().what;
            distances += distance(*fit, car) / (2 * kTests), walk += fit->walk_m_per_s / kTests;
        }
        EXPECT_NEAR(walk, kWalk, 0.01) << lasting;
    }
    EXPECT_NEAR(distances, 3.0, 1.8);  // some 30 where all noise is taken for that of single samples
}

TEST(Coastdown, FewSamplesHaveWideIntervalsOrAreRefused) {
    double inside = 0.0, count = 0.0;
    for (int seed = 1; seed <= 60; ++seed) {
        CoastTestNoise noise(700 + static_cast<std::uint64_t>(seed));
        const CoastTestCar car;
        CoastdownTest test = told_of(car);
        add_pairs(test, car, 1, noise, {.rate_hz = 0.06});
        const auto fit = fit_coastdown(test);
        if (!fit) continue;
        const double truth = Eigen::Vector3d(1.0, 20.0, 400.0).dot(true_load(car));
        const Uncertain force = fit->resistance_n({20.0});
        inside += std::abs(force.mean - truth) < 1.96 * force.sd ? 1.0 : 0.0, count += 1.0;
    }
    EXPECT_GT(count, 30.0);
    EXPECT_GT(inside / count, 0.88);
}

TEST(Coastdown, RunsThatTellNothingAreRefusedWithTheReason) {
    const CoastTestCar car;
    const auto why = [&](const CoastTestRun& drive, auto change) {
        CoastTestNoise noise(6);
        CoastdownTest test = told_of(car);
        add_pairs(test, car, 1, noise, drive);
        change(test);
        const auto fit = fit_coastdown(test);
        return fit ? std::string("fitted") : fit.error().what;
    };
    const auto as_it_is = [](CoastdownTest&) {};
    EXPECT_EQ(why({}, as_it_is), "fitted");
    EXPECT_NE(why({.rate_hz = 0.02}, as_it_is).find("needs 8 speeds"), std::string::npos);
    EXPECT_NE(why({.from_m_per_s = 25.0, .to_m_per_s = 18.5}, as_it_is).find("km/h only"), std::string::npos);
    EXPECT_NE(why({.to_m_per_s = 0.5}, as_it_is).find("comes to a stop"), std::string::npos);
    EXPECT_NE(why({}, [](CoastdownTest& test) { std::ranges::reverse(test.runs[1].speed_m_per_s.value); })
                  .find("run 2 gets faster"),
              std::string::npos);
    EXPECT_NE(why({}, [](CoastdownTest& test) { test.runs.clear(); }).find("have 0"), std::string::npos);
}

TEST(Coastdown, SameRunsSameBytes) {
    const auto once = [] {
        CoastTestNoise noise(8);
        CoastdownTest test = told_of(CoastTestCar{});
        add_pairs(test, {}, 1, noise);
        return fit_coastdown(test).value().load;
    };
    EXPECT_EQ(once(), once());
}

}  // namespace
}  // namespace revwright
