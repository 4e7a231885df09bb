#include "power/combination.h"

#include <Eigen/Cholesky>
#include <cmath>
#include <gtest/gtest.h>

#include "power/agreement.h"
#include "power/method_weights.h"
#include "power/road_test_drive.h"

namespace revwright {
namespace {

constexpr Eigen::Index kSpeeds = 41;

struct ClaimedErrors {
    double level = 0.0, noise = 0.5, meter = 0.0;  // Nm
};

/// A flat curve of 300 Nm with these errors, off by `off` in all.
NamedEstimate estimate_of(PowerMethod method, const ClaimedErrors& errors, const Eigen::VectorXd& off) {
    TorqueEstimate found;
    for (Eigen::Index i = 0; i < kSpeeds; ++i) found.engine_speed_rpm.push_back(2500.0 + 50.0 * static_cast<double>(i));
    found.torque_nm = Eigen::VectorXd::Constant(kSpeeds, 300.0) + off;
    found.covariance = Eigen::MatrixXd::Constant(kSpeeds, kSpeeds, errors.level * errors.level) +
                       errors.noise * errors.noise * Eigen::MatrixXd::Identity(kSpeeds, kSpeeds);
    found.air_meter = Eigen::VectorXd::Constant(kSpeeds, errors.meter);
    return {method, std::move(found)};
}
NamedEstimate estimate_at(PowerMethod method, const ClaimedErrors& errors, double level) {
    return estimate_of(method, errors, Eigen::VectorXd::Constant(kSpeeds, level - 300.0));
}

TEST(MethodWeights, AreInverseVariancesOfIndependentMethods) {
    Eigen::Matrix2d covariance;
    covariance << 4.0, 0.0, 0.0, 1.0;
    const Eigen::VectorXd weights = weights_for(covariance);
    EXPECT_NEAR(weights[0], 0.2, 1e-12);
    EXPECT_NEAR(weights[1], 0.8, 1e-12);
}

TEST(MethodWeights, AreNeverNegative) {
    // Much in common and unlike spreads: plain least squares gives the worse one a weight below 0.
    Eigen::Matrix2d covariance;
    covariance << 1.0, 1.9, 1.9, 4.0;
    const Eigen::VectorXd weights = weights_for(covariance);
    EXPECT_EQ(weights[0], 1.0);
    EXPECT_EQ(weights[1], 0.0);
}

TEST(ChiSquaredTail, IsThatOfTheTables) {
    // Upper 5 % points of 2, 4 and 6 degrees: 5.991, 9.488, 12.592 [AbramowitzStegun1964], table 26.8 (from memory).
    EXPECT_NEAR(chi_squared_tail(5.991, 2), 0.05, 1e-4);
    EXPECT_NEAR(chi_squared_tail(9.488, 4), 0.05, 1e-4);
    EXPECT_NEAR(chi_squared_tail(12.592, 6), 0.05, 1e-4);
}

TEST(Combination, TwoThatShareAMeterDoNotOutvoteOneThatDoesNot) {
    const ClaimedErrors meter{.level = 2.0, .meter = 12.0}, road{.level = 6.0};
    const std::vector<NamedEstimate> methods{estimate_at(PowerMethod::road_load, road, 300.0),
                                             estimate_at(PowerMethod::air_flow, meter, 315.0),
                                             estimate_at(PowerMethod::control_unit, meter, 315.0)};
    const auto found = combine(methods);
    ASSERT_TRUE(found);
    // Alone each of the pair counts 6^2 / (6^2 + 2^2 + 12^2) = 0.196; two of them 36 / (36 + 2 + 144) = 0.198.
    EXPECT_NEAR(found->estimate.torque_nm[20], 300.0 + 15.0 * 36.25 / (36.25 + 2.125 + 144.0), 0.05);
    EXPECT_TRUE(found->agreement.consistent);
}

TEST(Combination, OfMethodsThatContradictEachOtherIsWiderAndSaysSo) {
    const ClaimedErrors errors{.level = 3.0};
    const std::vector<NamedEstimate> agree{estimate_at(PowerMethod::road_load, errors, 300.0),
                                           estimate_at(PowerMethod::air_flow, errors, 303.0)};
    const std::vector<NamedEstimate> differ{agree[0], estimate_at(PowerMethod::air_flow, errors, 330.0)};
    const auto one = combine(agree), other = combine(differ);
    ASSERT_TRUE(one && other);
    EXPECT_TRUE(one->agreement.consistent);
    EXPECT_FALSE(other->agreement.consistent);
    EXPECT_GT(other->agreement.birge_ratio, 3.0);
    EXPECT_GT(other->estimate.covariance(20, 20), 8.0 * one->estimate.covariance(20, 20));
    EXPECT_NE(other->agreement.text.find("Air flow says 10.0 % more than road load"), std::string::npos)
        << other->agreement.text;
}

TEST(Combination, OfOneMethodIsThatMethod) {
    const std::vector<NamedEstimate> one{estimate_at(PowerMethod::dynamometer, {.level = 3.0}, 280.0)};
    const auto found = combine(one);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->agreement.birge_ratio, 0.0);
    EXPECT_TRUE(found->agreement.consistent);
    EXPECT_TRUE(found->estimate.torque_nm.isApprox(one[0].estimate.torque_nm));
    EXPECT_TRUE(found->estimate.covariance.isApprox(one[0].estimate.covariance));
    EXPECT_FALSE(combine({}));
}

TEST(Combination, IntervalsHoldTheTruthAsOftenAsTheySay) {
    RoadTestNoise noise(11);
    const ClaimedErrors road{.level = 7.0, .noise = 2.0}, air{.level = 9.0, .noise = 1.0, .meter = 12.0},
        unit{.level = 6.0, .noise = 1.0, .meter = 12.0};
    double inside = 0.0, consistent = 0.0;
    constexpr int kDraws = 500;
    for (int draw = 0; draw < kDraws; ++draw) {
        const double meter = noise.normal();
        const auto drawn = [&](PowerMethod method, const ClaimedErrors& errors) {
            const double level = errors.level * noise.normal() + errors.meter * meter;
            Eigen::VectorXd off(kSpeeds);
            for (double& value : off) value = level + errors.noise * noise.normal();
            return estimate_of(method, errors, off);
        };
        const std::vector<NamedEstimate> methods{drawn(PowerMethod::road_load, road), drawn(PowerMethod::air_flow, air),
                                                 drawn(PowerMethod::control_unit, unit)};
        const auto found = combine(methods);
        ASSERT_TRUE(found);
        const double sd = std::sqrt(found->estimate.whole_covariance()(20, 20));
        inside += std::abs(found->estimate.torque_nm[20] - 300.0) < 1.96 * sd ? 100.0 / kDraws : 0.0;
        consistent += found->agreement.consistent ? 100.0 / kDraws : 0.0;
    }
    EXPECT_GT(inside, 92.0);
    EXPECT_LT(inside, 98.0);
    EXPECT_GT(consistent, 92.0);
    EXPECT_LT(consistent, 98.0);
}

}  // namespace
}  // namespace revwright
