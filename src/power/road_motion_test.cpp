#include "power/road_motion.h"

#include <gtest/gtest.h>

#include "power/road_samples.h"
#include "power/road_test_drive.h"

namespace revwright {
namespace {

RoadDrive two_ways(bool exactly) {
    RoadTestNoise noise(3);
    const RoadTestCar car{.slope = 0.004, .headwind_m_per_s = 1.2};
    RoadDrive drive = told_of(car, exactly);
    drive.road_speed_scale = {1.0, 0.01};
    drive.road_speed_delay_s = {0.0, 0.1};
    for (const double along : {1.0, -1.0})
        add_pull(drive, drive_pull(car, along, {.rate_hz = 5.0, .engine = true}, noise), along);
    drive.runs[0].slope.sd = 0.001, drive.runs[0].headwind_m_per_s.sd = 0.5, drive.runs[0].extra_mass_kg = 40.0;
    drive.pulls[1].run = 0, drive.pulls[1].along = -1.0;
    drive.pull_effect = {0.0, 0.005};
    return drive;
}

TEST(RoadMotion, DerivativesAreThoseOfTheResiduals) {
    // The gradient of the squares against differences of the squares themselves, by every parameter that is free.
    const RoadDrive drive = two_ways(false);
    const RoadParameters layout(drive);
    const Eigen::VectorXd at = first_guess(drive, layout);
    const RoadSums sums = follow_pulls(drive, layout, at);
    const auto squares = [&](const Eigen::VectorXd& p) {
        const RoadSums there = follow_pulls(drive, layout, p);
        return there.engine.squares + there.road.squares;
    };
    const Eigen::VectorXd gradient = -2.0 * (sums.engine.gradient + sums.road.gradient);
    for (Eigen::Index i = 0; i < layout.size; ++i) {
        if (layout.free[i] == 0.0) continue;
        const double step = 1e-6 * std::max(1.0, std::abs(at[i]));
        Eigen::VectorXd low = at, high = at;
        low[i] -= step, high[i] += step;
        const double difference = (squares(high) - squares(low)) / (2.0 * step);
        EXPECT_NEAR(gradient[i], difference, 1e-4 * std::abs(difference) + 1e-3 * gradient.cwiseAbs().mean()) << i;
    }
}

TEST(RoadMotion, MovesAsTheForcesSay) {
    // By hand: 1500 kg, r 0.308 m, overall 13.5, wheels of 0.9 and an engine of 0.15 kg m^2 (kinetic energy of the
    // parts: 1500 + 37.95 + 288.18 kg), the engine's through an efficiency of 0.9.
    RoadDrive drive;
    drive.car = {.mass_kg = {1500.0, 0.0},
                 .rolling_radius_m = {0.308, 0.0},
                 .efficiency = {0.9, 0.0},
                 .a_n = {150.0, 0.0},
                 .b_n_per_m_per_s = {0.0, 0.0},
                 .c_n_per_m2_per_s2 = {0.4, 0.0},
                 .wheel_inertia_kg_m2 = 0.9,
                 .engine_inertia_kg_m2 = 0.15};
    drive.slope = {0.01, 0.0};
    RoadTestNoise noise(1);
    RoadTestCar car;
    car.ratio = 13.5;
    add_pull(drive, drive_pull(car, 1.0, {}, noise), 1.0);
    const RoadParameters layout(drive);
    Eigen::VectorXd p = layout.prior_mean;
    p.tail(layout.size - layout.curves).setConstant(200.0);
    const RoadMotion motion(drive, layout, 0);
    EXPECT_NEAR(motion.effective_mass(p), 1797.308, 0.001);
    const double w = 400.0, v = w * 0.308 / 13.5;
    const double force = 200.0 * 0.9 * 13.5 / 0.308 - 150.0 - 0.4 * v * v - 1500.0 * 9.80665 * 0.01;
    Eigen::VectorXd by = Eigen::VectorXd::Zero(layout.size), by_rate = by;
    EXPECT_NEAR(motion.rate(p, w, by, by_rate), force / 1797.308 * 13.5 / 0.308, 1e-4);
    EXPECT_NEAR(motion.rate_without_torque(p, w) + 200.0 * motion.rate_of_torque(p), motion.rate(p, w, by, by_rate),
                1e-9);
}

}  // namespace
}  // namespace revwright
