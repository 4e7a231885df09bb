#include "power/speed_smoother.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "power/quick_torque.h"
#include "power/road_test_drive.h"

namespace revwright {
namespace {

/// A speed that swings, read at uneven times.
SpeedSamples swinging(RoadTestNoise& noise, std::size_t count, double sd) {
    SpeedSamples samples;
    double t = 3.0;
    for (std::size_t i = 0; i < count; ++i) {
        t += 0.05 + 0.1 * noise.uniform();
        samples.time_s.push_back(t);
        samples.value.push_back(20.0 + 8.0 * std::sin(0.9 * t) + sd * noise.normal());
    }
    return samples;
}

TEST(SpeedSmoother, FindsSpeedAccelerationAndNoise) {
    RoadTestNoise noise(1);
    const SmoothedSpeed smooth = smooth_speed(swinging(noise, 200, 0.1));
    EXPECT_NEAR(smooth.noise, 0.1, 0.015);
    double squares = 0.0;
    for (std::size_t i = 10; i < 190; ++i)
        squares += std::pow(smooth.acceleration[i] - 7.2 * std::cos(0.9 * smooth.time_s[i]), 2) / 180.0;
    EXPECT_LT(std::sqrt(squares), 0.2);  // a central difference has 0.7
}

TEST(SpeedSmoother, IntervalsHoldTheTruthAsOftenAsTheySay) {
    double speeds = 0.0, accelerations = 0.0, count = 0.0;
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        RoadTestNoise noise(20 + seed);
        const SmoothedSpeed smooth = smooth_speed(swinging(noise, 100, 0.1));
        for (std::size_t i = 0; i < 100; ++i, count += 1.0) {
            const double t = smooth.time_s[i];
            const double speed_off = smooth.speed[i] - (20.0 + 8.0 * std::sin(0.9 * t));
            const double off = smooth.acceleration[i] - 7.2 * std::cos(0.9 * t);
            speeds += std::abs(speed_off) < 1.96 * smooth.speed_sd[i] ? 1.0 : 0.0;
            accelerations += std::abs(off) < 1.96 * smooth.acceleration_sd[i] ? 1.0 : 0.0;
        }
    }
    EXPECT_NEAR(speeds / count, 0.95, 0.03);
    EXPECT_NEAR(accelerations / count, 0.95, 0.04);
}

TEST(SpeedSmoother, IsTheLeastSquaresAnswerForAllStatesAtOnce) {
    // The other route: one system of equations for every state, weighed with the noise and wandering that were found.
    RoadTestNoise noise(3);
    constexpr Eigen::Index kCount = 14;
    const SpeedSamples samples = swinging(noise, kCount, 0.1);
    const SmoothedSpeed smooth = smooth_speed(samples);
    Eigen::MatrixXd precision = Eigen::MatrixXd::Zero(3 * kCount, 3 * kCount);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(3 * kCount);
    for (Eigen::Index i = 0; i < kCount; ++i) {
        const auto at = static_cast<std::size_t>(i);
        precision(3 * i, 3 * i) += 1.0 / (smooth.noise * smooth.noise);
        right[3 * i] += samples.value[at] / (smooth.noise * smooth.noise);
        if (i == 0) continue;
        const double h = samples.time_s[at] - samples.time_s[at - 1];
        Eigen::Matrix3d wander;
        for (int row = 0; row < 3; ++row)
            for (int column = 0; column < 3; ++column) {
                // Integral of s^(2 - row) / (2 - row)! times the same of the column, from 0 to h.
                const int power = 5 - row - column;
                const double factorials = (row == 0 ? 2.0 : 1.0) * (column == 0 ? 2.0 : 1.0);
                wander(row, column) = std::pow(h, power) / power / factorials;
            }
        Eigen::Matrix<double, 3, 6> step = Eigen::Matrix<double, 3, 6>::Zero();
        step.leftCols<3>() << -1.0, -h, -0.5 * h * h, 0.0, -1.0, -h, 0.0, 0.0, -1.0;
        step.rightCols<3>().setIdentity();
        precision.block<6, 6>(3 * i - 3, 3 * i - 3) +=
            step.transpose() * (wander * smooth.jerk_walk * smooth.jerk_walk).inverse() * step;
    }
    const Eigen::MatrixXd covariance = precision.inverse();
    const Eigen::VectorXd states = covariance * right;
    for (Eigen::Index i = 0; i < kCount; ++i) {
        const auto at = static_cast<std::size_t>(i);
        EXPECT_NEAR(smooth.speed[at], states[3 * i], 1e-4);
        EXPECT_NEAR(smooth.acceleration[at], states[3 * i + 1], 1e-3);
        EXPECT_NEAR(smooth.speed_sd[at], std::sqrt(covariance(3 * i, 3 * i)), 1e-4);
        EXPECT_NEAR(smooth.acceleration_sd[at], std::sqrt(covariance(3 * i + 1, 3 * i + 1)), 1e-3);
    }
}

TEST(SpeedSmoother, UnitsOfSpeedAndTimeChangeNothingElse) {
    RoadTestNoise noise(4);
    const SpeedSamples samples = swinging(noise, 60, 0.1);
    SpeedSamples other = samples;
    for (double& value : other.value) value *= 8.0;  // powers of two: nothing is rounded
    for (double& time : other.time_s) time *= 4.0;
    const SmoothedSpeed one = smooth_speed(samples), two = smooth_speed(other);
    for (std::size_t i = 0; i < samples.value.size(); ++i) {
        EXPECT_NEAR(two.acceleration[i], 2.0 * one.acceleration[i], 1e-9);
        EXPECT_NEAR(two.acceleration_sd[i], 2.0 * one.acceleration_sd[i], 1e-9);
    }
}

TEST(SpeedSmoother, CleanSamplesAndStandingSpeedsAreNoTrouble) {
    SpeedSamples clean, still;
    for (int i = 0; i < 50; ++i) {
        const double t = 0.1 * i;
        clean.time_s.push_back(t), still.time_s.push_back(t);
        clean.value.push_back(10.0 + 3.0 * t - 0.2 * t * t), still.value.push_back(5.0);
    }
    const SmoothedSpeed bend = smooth_speed(clean), none = smooth_speed(still);
    for (std::size_t i = 0; i < 50; ++i) {
        EXPECT_NEAR(bend.acceleration[i], 3.0 - 0.4 * clean.time_s[i], 1e-4);
        EXPECT_NEAR(none.acceleration[i], 0.0, 1e-6);
        EXPECT_TRUE(std::isfinite(bend.acceleration_sd[i]) && std::isfinite(none.acceleration_sd[i]));
    }
}

/// RMS error of a quick view in percent, between 2,150 and 6,450 rpm.
double error_pct(const std::vector<TorqueCurvePoint>& points, const RoadTestCar& car) {
    double squares = 0.0, count = 0.0;
    for (const TorqueCurvePoint& point : points) {
        if (point.engine_speed_rpm < 2150.0 || point.engine_speed_rpm > 6450.0) continue;
        squares += std::pow(100.0 * (point.torque_nm / car.torque_nm(point.engine_speed_rpm) - 1.0), 2), count += 1.0;
    }
    return std::sqrt(squares / count);
}

TEST(QuickTorque, ShowsTheCurveOfAKnownCarEitherWay) {
    for (const double along : {1.0, -1.0})
        for (const bool engine : {false, true}) {
            RoadTestNoise noise(5);
            const RoadTestCar car{.slope = 0.01, .headwind_m_per_s = 3.0};
            RoadDrive drive = told_of(car, true);
            add_pull(drive, drive_pull(car, along, {.road = !engine, .engine = engine}, noise), along);
            const auto points = quick_torque(drive, 0);
            EXPECT_GT(points.size(), 40u);
            EXPECT_LT(error_pct(points, car), 1.5) << along << " " << engine;
            EXPECT_TRUE(std::ranges::is_sorted(points, {}, &TorqueCurvePoint::engine_speed_rpm));
        }
}

TEST(QuickTorque, ARoadSpeedThatReadsHighIsPutRight) {
    RoadTestNoise noise(6);
    const RoadTestCar car;
    RoadDrive drive = told_of(car, true);
    drive.road_speed_scale.mean = 1.03;
    add_pull(drive, drive_pull(car, 1.0, {}, noise), 1.0);
    for (double& value : drive.pulls[0].road_m_per_s.value) value *= 1.03;
    EXPECT_LT(error_pct(quick_torque(drive, 0), car), 1.5);
}

TEST(QuickTorque, StandardDeviationIsThatOfTheNoise) {
    double inside = 0.0, count = 0.0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        RoadTestNoise noise(50 + seed);
        const RoadTestCar car;
        RoadDrive drive = told_of(car, true);
        add_pull(drive, drive_pull(car, 1.0, {}, noise), 1.0);
        for (const TorqueCurvePoint& point : quick_torque(drive, 0)) {
            const double off = point.torque_nm - car.torque_nm(point.engine_speed_rpm);
            inside += std::abs(off) < 1.96 * point.torque_sd_nm ? 1.0 : 0.0, count += 1.0;
        }
    }
    EXPECT_GT(inside / count, 0.85);
    EXPECT_LT(inside / count, 0.99);
}

TEST(QuickTorque, TooFewSamplesShowNothing) {
    RoadDrive drive = told_of(RoadTestCar{}, true);
    RoadPull pull{.overall_ratio = 5.2};
    for (int i = 0; i < 7; ++i) {
        pull.road_m_per_s.time_s.push_back(0.1 * i);
        pull.road_m_per_s.value.push_back(15.0 + 0.3 * i);
    }
    add_pull(drive, pull, 1.0);
    EXPECT_TRUE(quick_torque(drive, 0).empty());
}

}  // namespace
}  // namespace revwright
