#include <Eigen/Core>
#include <Eigen/QR>
#include <array>
#include <cmath>
#include <cstdio>
#include <gtest/gtest.h>

#include "power/quick_torque.h"
#include "power/road_fit.h"
#include "power/road_test_drive.h"

// Why torque is not taken from differences of speed: five ways to the same curve, on the same noise. The table that
// this prints is in docs/physics/differentiators.md.
namespace revwright {
namespace {

constexpr double kRpm = std::numbers::pi / 30.0, kFromRpm = 2150.0, kToRpm = 6450.0;
constexpr std::uint64_t kDraws = 30;

/// Error of torque in percent of the truth: root of mean square, and of the highest torque.
struct DifferentiatorScore {
    double squares = 0.0, count = 0.0, highest = 0.0;

    void add(const RoadTestCar& car, double rpm, double torque_nm) {
        if (rpm < kFromRpm || rpm > kToRpm) return;
        squares += std::pow(100.0 * (torque_nm / car.torque_nm(rpm) - 1.0), 2), count += 1.0;
        highest = std::max(highest, torque_nm);
    }
};

/// Mean of a method over all draws.
struct DifferentiatorMean {
    double squares = 0.0, peak = 0.0, draws = 0.0;

    void add(const DifferentiatorScore& score, double true_peak) {
        squares += score.squares / score.count, peak += 100.0 * (score.highest / true_peak - 1.0), draws += 1.0;
    }
    double rms() const { return std::sqrt(squares / draws); }
    double bias() const { return peak / draws; }
};

/// The car's own equation of motion, solved for torque by hand.
double torque_of(const RoadTestCar& car, double v, double acceleration) {
    const double mass =
        car.mass_kg + 4.0 * 1.0 / std::pow(car.radius_m, 2) + 0.15 * std::pow(car.ratio / car.radius_m, 2);
    const double force = mass * acceleration + car.a_n + car.c_n_per_m2_per_s2 * v * v;
    return force * car.radius_m / (car.ratio * car.efficiency);
}

double rpm_of(const RoadTestCar& car, double v) { return v * car.ratio / car.radius_m / kRpm; }

DifferentiatorScore by_central_difference(const RoadTestCar& car, const SpeedSamples& v) {
    DifferentiatorScore score;
    for (std::size_t i = 1; i + 1 < v.value.size(); ++i) {
        const double rate = (v.value[i + 1] - v.value[i - 1]) / (v.time_s[i + 1] - v.time_s[i - 1]);
        score.add(car, rpm_of(car, v.value[i]), torque_of(car, v.value[i], rate));
    }
    return score;
}

/// A parabola through the samples within half a window either side, at their own times. [SavitzkyGolay1964]
DifferentiatorScore by_parabola(const RoadTestCar& car, const SpeedSamples& v, double window_s) {
    DifferentiatorScore score;
    for (std::size_t i = 0; i < v.value.size(); ++i) {
        std::vector<std::size_t> near;
        for (std::size_t k = 0; k < v.value.size(); ++k)
            if (std::abs(v.time_s[k] - v.time_s[i]) <= 0.5 * window_s + 1e-9) near.push_back(k);
        if (near.size() < 4) continue;
        Eigen::MatrixX3d powers(static_cast<Eigen::Index>(near.size()), 3);
        Eigen::VectorXd speeds(powers.rows());
        for (Eigen::Index row = 0; row < powers.rows(); ++row) {
            const std::size_t k = near[static_cast<std::size_t>(row)];
            const double t = v.time_s[k] - v.time_s[i];
            powers.row(row) << 1.0, t, t * t;
            speeds[row] = v.value[k];
        }
        const Eigen::Vector3d fit = powers.colPivHouseholderQr().solve(speeds);
        score.add(car, rpm_of(car, fit[0]), torque_of(car, fit[0], fit[1]));
    }
    return score;
}

DifferentiatorScore by_smoother(const RoadTestCar& car, const RoadDrive& drive) {
    DifferentiatorScore score;
    for (const TorqueCurvePoint& point : quick_torque(drive, 0))
        score.add(car, point.engine_speed_rpm, point.torque_nm);
    return score;
}

DifferentiatorScore by_spline(const RoadTestCar& car, const RoadDrive& drive) {
    const RoadFit fit = fit_road(drive).value();
    DifferentiatorScore score;
    for (double rpm = kFromRpm; rpm <= kToRpm; rpm += 50.0)
        score.add(car, rpm, fit.torque_row(0, rpm * kRpm).dot(fit.parameters));
    return score;
}

enum Method { central, parabola_short, parabola_long, smoother, spline, method_count };
using Means = std::array<DifferentiatorMean, method_count>;

Means compare(const char* name, const auto& pull_of) {
    const RoadTestCar car;
    double true_peak = 0.0;
    for (double rpm = kFromRpm; rpm <= kToRpm; rpm += 10.0) true_peak = std::max(true_peak, car.torque_nm(rpm));
    Means means;
    for (std::uint64_t seed = 1; seed <= kDraws; ++seed) {
        RoadTestNoise noise(seed);
        RoadDrive drive = told_of(car, true);
        add_pull(drive, pull_of(car, noise), 1.0);
        SpeedSamples v = drive.pulls[0].road_m_per_s;
        if (v.empty()) {
            v = drive.pulls[0].engine_rad_s;
            for (double& value : v.value) value *= car.radius_m / car.ratio;
        }
        means[central].add(by_central_difference(car, v), true_peak);
        means[parabola_short].add(by_parabola(car, v, 0.5), true_peak);
        means[parabola_long].add(by_parabola(car, v, 1.5), true_peak);
        means[smoother].add(by_smoother(car, drive), true_peak);
        means[spline].add(by_spline(car, drive), true_peak);
    }
    std::printf("| %s |", name);
    for (const DifferentiatorMean& mean : means) std::printf(" %.2f (%+.1f) |", mean.rms(), mean.bias());
    std::printf("\n");
    return means;
}

void expect_the_order(const Means& means) {
    EXPECT_GT(means[central].rms(), 1.5 * means[parabola_short].rms());
    EXPECT_GT(means[parabola_short].rms(), 1.3 * means[parabola_long].rms());
    for (const Method best : {smoother, spline}) {
        EXPECT_GT(means[parabola_long].rms(), 1.5 * means[best].rms());
        EXPECT_LT(means[best].rms(), 1.0);
        EXPECT_LT(std::abs(means[best].bias()), 0.6);
    }
    EXPECT_NEAR(means[smoother].rms() / means[spline].rms(), 1.0, 0.3);
    EXPECT_GT(means[central].bias(), 5.0);  // the highest point of a noisy curve is the luckiest
}

TEST(Differentiators, SatelliteSpeed) {
    const Means means = compare("GNSS 10 Hz, 0.05 m/s", [](const RoadTestCar& car, RoadTestNoise& noise) {
        return drive_pull(car, 1.0, {}, noise);
    });
    expect_the_order(means);
    // Computed for this project by another program: 11.2 and 4.9 %, 2.4 %, 0.75 and 0.79 %.
    EXPECT_NEAR(means[central].rms(), 11.2, 2.0);
    EXPECT_NEAR(means[parabola_short].rms(), 4.9, 1.0);
}

TEST(Differentiators, EngineSpeedInSteps) {
    // Steps of 10 rpm on 5 rpm of noise; each time stamp is up to 10 ms off.
    expect_the_order(compare("engine speed 10 Hz, 10 rpm, jitter", [](const RoadTestCar& car, RoadTestNoise& noise) {
        RoadPull pull = drive_pull(car, 1.0, {.engine_noise_rpm = 5.0, .road = false, .engine = true}, noise);
        for (double& value : pull.engine_rad_s.value) value = std::round(value / kRpm / 10.0) * 10.0 * kRpm;
        for (double& time : pull.engine_rad_s.time_s) time += 0.01 * (2.0 * noise.uniform() - 1.0);
        return pull;
    }));
}

}  // namespace
}  // namespace revwright
