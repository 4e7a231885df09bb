#include "power/road_fit.h"

#include <cmath>
#include <gtest/gtest.h>

#include "power/road_test_drive.h"

namespace revwright {
namespace {

constexpr double kRpm = std::numbers::pi / 30.0;

struct Judged {
    double rms_pct = 0.0, sd_pct = 0.0, inside_pct = 0.0;
};

Judged judge(const RoadFit& fit, const RoadTestCar& car, std::size_t curve = 0) {
    Judged judged;
    double count = 0.0;
    for (double rpm = 2150.0; rpm <= 6450.0; rpm += 50.0, count += 1.0) {
        const Eigen::VectorXd row = fit.torque_row(curve, rpm * kRpm);
        const double truth = car.torque_nm(rpm), error = row.dot(fit.parameters) - truth;
        const double sd = std::sqrt(row.dot(fit.covariance * row));
        judged.rms_pct += std::pow(100.0 * error / truth, 2);
        judged.sd_pct += 100.0 * sd / truth;
        judged.inside_pct += std::abs(error) < 1.96 * sd ? 100.0 : 0.0;
    }
    return {std::sqrt(judged.rms_pct / count), judged.sd_pct / count, judged.inside_pct / count};
}

TEST(RoadFit, OnePullOfAKnownCarGivesTorqueWithinOnePercent) {
    // 10 Hz and 0.05 m/s of noise in third gear, where a central difference is 11 % off (computed for this project).
    double rms = 0.0, sd = 0.0;
    constexpr int kDrives = 20;
    for (int seed = 1; seed <= kDrives; ++seed) {
        RoadTestNoise noise(static_cast<std::uint64_t>(seed));
        const RoadTestCar car;
        RoadDrive drive = told_of(car, true);
        add_pull(drive, drive_pull(car, 1.0, {}, noise), 1.0);
        const auto fit = fit_road(drive);
        ASSERT_TRUE(fit) << fit.error().what;
        rms += judge(*fit, car).rms_pct / kDrives, sd += judge(*fit, car).sd_pct / kDrives;
        EXPECT_NEAR(fit->road_noise_m_per_s, 0.05, 0.015);
    }
    EXPECT_LT(rms, 1.0);
    EXPECT_GT(sd, 0.5 * rms);
    EXPECT_LT(sd, 2.0 * rms);
}

TEST(RoadFit, BothWaysCancelSlopeAndWind) {
    RoadTestNoise noise(5);
    const RoadTestCar car{.slope = 0.006, .headwind_m_per_s = 2.0};
    RoadDrive one_way = told_of(car, true);
    one_way.slope = {0.0, 0.004}, one_way.headwind_m_per_s = {0.0, 1.5};
    RoadDrive both = one_way;
    for (int i = 0; i < 2; ++i) {
        add_pull(one_way, drive_pull(car, 1.0, {}, noise), 1.0);
        add_pull(both, drive_pull(car, i == 0 ? 1.0 : -1.0, {}, noise), i == 0 ? 1.0 : -1.0);
    }
    const auto alone = fit_road(one_way), pair = fit_road(both);
    ASSERT_TRUE(alone && pair);
    EXPECT_LT(judge(*pair, car).rms_pct, 1.0);
    EXPECT_LT(judge(*pair, car).sd_pct, 0.5 * judge(*alone, car).sd_pct);
    EXPECT_NEAR(pair->parameters[kSlope], 0.006, 0.001);
}

TEST(RoadFit, RevisionsAreToldApartBetterThanEitherIsKnown) {
    RoadTestNoise noise(9);
    RoadTestCar before, after;
    after.torque_nm = [base = before.torque_nm](double rpm) { return 1.05 * base(rpm); };
    // The sheet says 3 % less mass than the car has: both curves suffer alike.
    RoadDrive drive = told_of(before, false);
    drive.car.mass_kg = {0.97 * before.mass_kg, 0.03 * before.mass_kg};
    drive.curves = 2;
    for (const double along : {1.0, -1.0}) {
        add_pull(drive, drive_pull(before, along, {}, noise), along, 0);
        add_pull(drive, drive_pull(after, along, {}, noise), along, 1);
    }
    const auto fit = fit_road(drive);
    ASSERT_TRUE(fit) << fit.error().what;
    const Eigen::VectorXd old_row = fit->torque_row(0, 4000.0 * kRpm),
                          gain = fit->torque_row(1, 4000.0 * kRpm) - old_row;
    const double old_sd = std::sqrt(old_row.dot(fit->covariance * old_row));
    const double gain_sd = std::sqrt(gain.dot(fit->covariance * gain));
    EXPECT_LT(gain_sd, 0.5 * old_sd);
    EXPECT_NEAR(gain.dot(fit->parameters), 0.05 * before.torque_nm(4000.0), 2.5 * gain_sd);
    EXPECT_LT(std::abs(old_row.dot(fit->parameters) - before.torque_nm(4000.0)), 2.5 * old_sd);
}

TEST(RoadFit, IntervalsHoldTheTruthAsOftenAsTheySay) {
    double inside = 0.0;
    constexpr int kDrives = 40;
    for (int seed = 1; seed <= kDrives; ++seed) {
        RoadTestNoise noise(1000 + static_cast<std::uint64_t>(seed));
        const RoadTestCar told;
        RoadTestCar car = told;
        car.mass_kg *= 1.0 + 0.01 * noise.normal();
        car.radius_m *= 1.0 + 0.01 * noise.normal();
        car.efficiency += 0.01 * noise.normal();
        car.a_n *= 1.0 + 0.05 * noise.normal();
        car.c_n_per_m2_per_s2 *= 1.0 + 0.03 * noise.normal();
        car.slope = 0.002 * noise.normal();
        car.headwind_m_per_s = 1.5 * noise.normal();
        RoadDrive drive = told_of(told, false);
        for (const double along : {1.0, -1.0}) add_pull(drive, drive_pull(car, along, {}, noise), along);
        const auto fit = fit_road(drive);
        ASSERT_TRUE(fit) << seed << ": " << fit.error().what;
        inside += judge(*fit, car).inside_pct / kDrives;
    }
    EXPECT_GT(inside, 85.0);  // 40 drives tell no more; the score of 500 is held to 92 to 98 %
}

TEST(RoadFit, ASpeedThatNoCarCanHaveIsRefused) {
    RoadDrive drive = told_of(RoadTestCar{}, true);
    RoadPull pull{.overall_ratio = 5.2};
    for (int i = 0; i < 40; ++i) {
        pull.road_m_per_s.time_s.push_back(0.1 * i);
        pull.road_m_per_s.value.push_back(i % 2 == 0 ? 10.0 : 60.0);
    }
    add_pull(drive, pull, 1.0);
    const auto fit = fit_road(drive);
    // Either it settles on a torque that is not known at all, or says that it cannot.
    if (fit) {
        const Eigen::VectorXd row = fit->torque_row(0, 300.0);
        EXPECT_GT(std::sqrt(row.dot(fit->covariance * row)), 100.0);
    } else {
        EXPECT_FALSE(fit.error().what.empty());
    }
}

}  // namespace
}  // namespace revwright
