#include "power/peak.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;

constexpr int kDraws = 800;
constexpr double kRadPerRpm = std::numbers::pi / 30.0;
constexpr double kTwoSided95 = 1.959964;
constexpr double kRounded = 300.0;  // rpm; two knots of the road's torque spline: so far it rounds a corner off
constexpr double kLeftOut = 1e-6;   // of the variance: directions in which the curve is known that well

/// Normal numbers that are the same on every machine: the generator is fixed by the language, its distributions are
/// not.
class NormalNumbers {
public:
    /// Polar form of Box and Muller. Source: [MarsagliaBray1964] (from memory).
    double next() {
        if (has_spare_) {
            has_spare_ = false;
            return spare_;
        }
        double u = 0.0, v = 0.0, square = 0.0;
        do {
            u = 2.0 * uniform() - 1.0;
            v = 2.0 * uniform() - 1.0;
            square = u * u + v * v;
        } while (square >= 1.0 || square == 0.0);
        const double stretch = std::sqrt(-2.0 * std::log(square) / square);
        spare_ = v * stretch;
        has_spare_ = true;
        return u * stretch;
    }

private:
    double uniform() { return static_cast<double>(bits_() >> 11) * 0x1p-53; }

    std::mt19937_64 bits_{20'260'301};
    bool has_spare_ = false;
    double spare_ = 0.0;
};

/// How curves around the estimate differ from it: each column times a normal number of its own.
Eigen::MatrixXd directions_of(const Eigen::MatrixXd& covariance) {
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solved(covariance);
    const Vector& variances = solved.eigenvalues();  // rising
    Eigen::Index first = 0;
    while (first < variances.size() - 1 && variances[first] < kLeftOut * variances.sum()) ++first;
    const Eigen::Index kept = variances.size() - first;
    return solved.eigenvectors().rightCols(kept) * variances.tail(kept).cwiseMax(0.0).cwiseSqrt().asDiagonal();
}

/// Of one quantity that torque is turned into by a factor at each speed.
class PeakFinder {
public:
    PeakFinder(std::span<const double> speeds, Vector curve, const Eigen::MatrixXd& directions)
        : speeds_(speeds), curve_(std::move(curve)), directions_(directions) {}

    PowerPeak find(const Eigen::MatrixXd& numbers) const {
        const auto [top, at] = highest(curve_);
        double sum = 0.0, squares = 0.0;
        const auto draws = static_cast<double>(numbers.cols());
        for (Eigen::Index i = 0; i < numbers.cols(); ++i) {
            const double beyond = highest(curve_ + directions_ * numbers.col(i)).first - top;
            sum += beyond, squares += beyond * beyond;
        }
        const double bias = sum / draws, sd = std::sqrt(std::max(0.0, squares / draws - bias * bias));
        const double value = top - bias;
        // How much of the covariance is luck, which lifts a peak, and how much is detail that smoothing took away,
        // which does not, it cannot tell; nor does a smooth curve show a corner. The interval reaches from the one case
        // to the other.
        return {value, at, {value - kTwoSided95 * sd, std::max(top, corner(at)) + kTwoSided95 * sd}};
    }

private:
    /// The top, by a parabola through the highest point and its neighbours, and where it is.
    std::pair<double, double> highest(const Vector& curve) const {
        Eigen::Index i = 0;
        const double top = curve.maxCoeff(&i);
        if (i == 0 || i == curve.size() - 1) return {top, speeds_[static_cast<std::size_t>(i)]};
        const double before = curve[i - 1], after = curve[i + 1], bend = before - 2.0 * top + after;
        if (!(bend < 0.0)) return {top, speeds_[static_cast<std::size_t>(i)]};
        const double part = 0.5 * (before - after) / bend;
        const double step = speeds_[static_cast<std::size_t>(i + 1)] - speeds_[static_cast<std::size_t>(i)];
        return {top - 0.25 * (before - after) * part, speeds_[static_cast<std::size_t>(i)] + part * step};
    }

    /// Where the two flanks of a peak would meet, were it a corner that smoothing has rounded off; 0 where they would
    /// not, or the curve ends before.
    double corner(double at) const {
        if (at - 2.0 * kRounded < speeds_.front() || at + 2.0 * kRounded > speeds_.back()) return 0.0;
        const double left = height(at - kRounded), right = height(at + kRounded);
        const double rise = (left - height(at - 2.0 * kRounded)) / kRounded;
        const double fall = (right - height(at + 2.0 * kRounded)) / kRounded;
        if (!(rise + fall > 0.0)) return 0.0;
        const double from_left = (right - left + 2.0 * kRounded * fall) / (rise + fall);
        return from_left >= 0.0 && from_left <= 2.0 * kRounded ? left + rise * from_left : 0.0;
    }

    double height(double speed) const {
        const auto after = std::upper_bound(speeds_.begin() + 1, speeds_.end() - 1, speed);
        const Eigen::Index i = after - speeds_.begin();
        const double part = (speed - *(after - 1)) / (*after - *(after - 1));
        return curve_[i - 1] + part * (curve_[i] - curve_[i - 1]);
    }

    std::span<const double> speeds_;
    Vector curve_;
    Eigen::MatrixXd directions_;
};

}  // namespace

Peaks peaks_of(std::span<const double> engine_speed_rpm, const Vector& torque_nm, const Eigen::MatrixXd& covariance) {
    const Eigen::MatrixXd directions = directions_of(covariance);
    NormalNumbers normal;
    Eigen::MatrixXd numbers(directions.cols(), kDraws);
    for (Eigen::Index draw = 0; draw < kDraws; draw += 2)
        for (Eigen::Index i = 0; i < numbers.rows(); ++i) {
            numbers(i, draw) = normal.next();
            numbers(i, draw + 1) = -numbers(i, draw);  // in opposite pairs: the mean of the curves is the estimate
        }
    const Vector speeds = Eigen::Map<const Vector>(engine_speed_rpm.data(), torque_nm.size());
    const Vector to_kw = speeds * (kRadPerRpm / 1000.0);
    const PeakFinder power(engine_speed_rpm, to_kw.cwiseProduct(torque_nm), to_kw.asDiagonal() * directions);
    const PeakFinder torque(engine_speed_rpm, torque_nm, directions);
    return {power.find(numbers), torque.find(numbers)};
}

}  // namespace revwright
