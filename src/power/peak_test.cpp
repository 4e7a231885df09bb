#include "power/peak.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <vector>

#include "power/road_test_drive.h"

namespace revwright {
namespace {

struct UncertainHump {
    std::vector<double> speeds = {};
    Eigen::VectorXd truth = {};
    Eigen::MatrixXd covariance = {};
};

/// Torque with its top of 320 Nm at 4,000 rpm; a level error of 2 % and waves of 1.5 % that 300 rpm share.
UncertainHump hump() {
    UncertainHump curve;
    for (double rpm = 2000.0; rpm <= 6500.0; rpm += 50.0) curve.speeds.push_back(rpm);
    const auto size = static_cast<Eigen::Index>(curve.speeds.size());
    curve.truth.resize(size);
    curve.covariance.resize(size, size);
    for (Eigen::Index i = 0; i < size; ++i) {
        const double rpm = curve.speeds[static_cast<std::size_t>(i)];
        curve.truth[i] = 320.0 - 45.0 * std::pow((rpm - 4000.0) / 2000.0, 2);
        for (Eigen::Index k = 0; k < size; ++k) {
            const double apart = (rpm - curve.speeds[static_cast<std::size_t>(k)]) / 300.0;
            curve.covariance(i, k) = 6.4 * 6.4 + 4.8 * 4.8 * std::exp(-0.5 * apart * apart);
        }
        curve.covariance(i, i) += 1e-6;
    }
    return curve;
}

TEST(Peaks, OfACurveThatIsKnownAreItsOwn) {
    UncertainHump curve = hump();
    curve.covariance.setZero();
    const Peaks peaks = peaks_of(curve.speeds, curve.truth, curve.covariance);
    EXPECT_NEAR(peaks.torque_nm.value, 320.0, 1e-9);
    EXPECT_NEAR(peaks.torque_nm.engine_speed_rpm, 4000.0, 1e-6);
    EXPECT_NEAR(peaks.torque_nm.interval.low, 320.0, 1e-9);
    EXPECT_LT(peaks.torque_nm.interval.high, 323.0);
    double highest = 0.0;
    for (double rpm = 2000.0; rpm <= 6500.0; rpm += 1.0)
        highest = std::max(highest,
                           (320.0 - 45.0 * std::pow((rpm - 4000.0) / 2000.0, 2)) * rpm * std::numbers::pi / 30'000.0);
    EXPECT_NEAR(peaks.power_kw.value, highest, 0.02);
}

TEST(Peaks, OfManyEstimatesAreRightOnAverageAndTheirIntervalsHold) {
    const UncertainHump curve = hump();
    const Eigen::MatrixXd root = curve.covariance.llt().matrixL();
    RoadTestNoise noise(42);
    double error = 0.0, naive = 0.0, inside = 0.0;
    constexpr int kEstimates = 300;
    for (int i = 0; i < kEstimates; ++i) {
        Eigen::VectorXd numbers(root.rows());
        for (double& number : numbers) number = noise.normal();
        const Eigen::VectorXd estimate = curve.truth + root * numbers;
        const PowerPeak peak = peaks_of(curve.speeds, estimate, curve.covariance).torque_nm;
        error += (peak.value - 320.0) / kEstimates;
        naive += (estimate.maxCoeff() - 320.0) / kEstimates;
        inside += peak.interval.low <= 320.0 && 320.0 <= peak.interval.high ? 100.0 / kEstimates : 0.0;
    }
    EXPECT_GT(naive, 2.0);  // the highest point of an estimate is the luckiest one, too
    EXPECT_LT(std::abs(error), 0.5 * naive);
    EXPECT_GT(inside, 91.0);
    EXPECT_LT(inside, 99.0);
}

TEST(Peaks, MayBeAsSharpAsTheirFlanksAllow) {
    // Two straight flanks that meet at 300 Nm and 4,000 rpm, of which a smooth curve has kept 297.
    UncertainHump curve = hump();
    curve.covariance *= 1e-8;
    for (Eigen::Index i = 0; i < curve.truth.size(); ++i) {
        const double away = curve.speeds[static_cast<std::size_t>(i)] - 4000.0;
        curve.truth[i] = 303.0 - 0.02 * std::hypot(away, 300.0);
    }
    const PowerPeak peak = peaks_of(curve.speeds, curve.truth, curve.covariance).torque_nm;
    EXPECT_NEAR(peak.value, 297.0, 0.01);
    EXPECT_NEAR(peak.interval.low, 297.0, 0.01);
    // By hand: the flank falls from 303 - 0.02 sqrt(2) 300 to 303 - 0.02 sqrt(5) 300 Nm over 300 rpm.
    EXPECT_NEAR(peak.interval.high, 303.0 - 6.0 * (2.0 * std::sqrt(2.0) - std::sqrt(5.0)), 0.01);
}

TEST(Peaks, AtTheEndOfTheCurveStayThere) {
    UncertainHump curve = hump();
    curve.covariance *= 1e-4;
    curve.truth.setConstant(250.0);
    const Peaks peaks = peaks_of(curve.speeds, curve.truth, curve.covariance);
    EXPECT_EQ(peaks.power_kw.engine_speed_rpm, 6500.0);
}

TEST(Peaks, AreTheSameForTheSameCurve) {
    const UncertainHump curve = hump();
    const Peaks one = peaks_of(curve.speeds, curve.truth, curve.covariance);
    const Peaks two = peaks_of(curve.speeds, curve.truth, curve.covariance);
    EXPECT_EQ(one.power_kw.value, two.power_kw.value);
    EXPECT_EQ(one.power_kw.interval.high, two.power_kw.interval.high);
}

}  // namespace
}  // namespace revwright
