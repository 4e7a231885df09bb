#include "power/road_fit.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "power/road_samples.h"

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

constexpr int kMostRounds = 40, kPatience = 12, kMostTurns = 60, kMostHalvings = 8;
constexpr double kSmallStep = 0.02;      // of a standard deviation: nothing is gained beyond
constexpr double kLeastVariance = 1e-6;  // of a sample: no logger is better, and clean data must not divide by zero

/// Gauss-Newton for the parameters, and between its steps the fixed point for noise and smoothness.
class RoadFitter {
public:
    explicit RoadFitter(const RoadDrive& drive)
        : drive_(drive),
          layout_(drive),
          parameters_(first_guess(drive, layout_)),
          sums_(follow_pulls(drive, layout_, parameters_)),
          bends_(follow_bends(drive, layout_, parameters_)) {
        const double typical = std::max(1.0, parameters_.tail(layout_.size - layout_.curves).cwiseAbs().mean());
        smoothness_ = 1.0 / std::pow(0.05 * typical, 2);
        engine_variance_ = std::max(kLeastVariance, sums_.engine.squares / std::max(1.0, sums_.engine.count));
        road_variance_ = std::max(kLeastVariance, sums_.road.squares / std::max(1.0, sums_.road.count));
    }

    Result<RoadFit> run() {
        int rounds = 0;
        for (bool moving = true; moving && rounds < kMostRounds; ++rounds) {
            const Vector change = settle();
            // Where the motion bends much, full steps go to and fro over the place: half of one gets there.
            const double most = rounds < kPatience ? 1.0 : 0.5, part = move(change, most);
            if (!std::isfinite(objective())) return refuse("no motion of this car explains the speeds of its pulls");
            const Vector sd = covariance_.diagonal().cwiseMax(1e-300).cwiseSqrt();
            moving = part < most || change.cwiseQuotient(sd).cwiseAbs().maxCoeff() > kSmallStep;
        }
        if (rounds == kMostRounds)
            return refuse("the torque of these pulls does not settle: their speeds contradict each other");
        settle();
        RoadFit fit{layout_, parameters_, covariance_};
        fit.engine_noise_rad_s = sums_.engine.count > 0.0 ? std::sqrt(engine_variance_) : 0.0;
        fit.road_noise_m_per_s = sums_.road.count > 0.0 ? std::sqrt(road_variance_) : 0.0;
        fit.degrees_of_freedom = degrees_;
        fit.rounds = rounds;
        return fit;
    }

private:
    /// What the parameters should make small, for the noise and smoothness at hand.
    double objective() const {
        return sums_.engine.squares / engine_variance_ + sums_.road.squares / road_variance_ +
               layout_.prior_distance(parameters_) + smoothness_ * bends_.squares;
    }

    /// The step, with the noise and smoothness that make the samples most probable around here.
    Vector settle() {
        const auto state = [&] {
            return std::log(smoothness_) + std::log(engine_variance_) + std::log(road_variance_);
        };
        Vector change = solve();
        for (int turn = 0; turn < kMostTurns; ++turn) {
            const double before = state();
            weigh(change);
            change = solve();
            if (std::abs(state() - before) < 0.01) break;
        }
        return change;
    }

    /// Takes `most` of the step, or as much of it as helps; says how much.
    double move(const Vector& change, double most) {
        const double before = objective();
        const Vector from = parameters_;
        double part = most;
        for (int halved = 0; halved < kMostHalvings; ++halved, part *= 0.5) {
            go_to(from + part * change);
            if (objective() <= before * (1.0 + 1e-6)) return part;
        }
        go_to(from);
        return 0.0;
    }

    void go_to(const Vector& parameters) {
        parameters_ = parameters;
        sums_ = follow_pulls(drive_, layout_, parameters_);
        bends_ = follow_bends(drive_, layout_, parameters_);
    }

    Vector solve() {
        Matrix precision =
            sums_.engine.full_information() / engine_variance_ + sums_.road.full_information() / road_variance_;
        precision += smoothness_ * bends_.full_information();
        Vector gradient = sums_.engine.gradient / engine_variance_ + sums_.road.gradient / road_variance_;
        gradient += smoothness_ * bends_.gradient;
        layout_.add_prior(precision, gradient, parameters_);
        precision.diagonal() += Vector::Ones(layout_.size) - layout_.free;
        precision.diagonal().tail(layout_.size - layout_.curves).array() += 1e-8;  // a curve that no pull has driven
        const Eigen::LDLT<Matrix> solved(precision);
        covariance_ = solved.solve(Matrix::Identity(layout_.size, layout_.size));
        covariance_.diagonal() = covariance_.diagonal().cwiseProduct(layout_.free);
        return solved.solve(gradient);
    }

    void weigh(const Vector& change) {
        degrees_ = 0.0;
        const auto weigh_one = [&](const SampleSums& sums, double& variance) {
            if (sums.count == 0.0) return;
            const double used = covariance_.cwiseProduct(sums.full_information()).sum() / variance;
            const double left = std::max(1.0, sums.count - used);
            variance = std::max(kLeastVariance, sums.squares_after(change) / left);
            degrees_ += left;
        };
        weigh_one(sums_.engine, engine_variance_);
        weigh_one(sums_.road, road_variance_);
        const double squares = std::max(0.0, bends_.squares_after(change));
        const double spread = covariance_.cwiseProduct(bends_.full_information()).sum(), count = bends_.count;
        // How many bends the samples decide. Where that is none, the slower but safe step of expectation-maximisation.
        const double decided = count - smoothness_ * spread;
        smoothness_ = decided > 0.5 ? decided / std::max(squares, 1e-9) : count / (squares + spread);
    }

    const RoadDrive& drive_;
    RoadParameters layout_;
    Vector parameters_;
    RoadSums sums_;
    SampleSums bends_;
    Matrix covariance_;
    double engine_variance_ = 1.0, road_variance_ = 1.0, smoothness_ = 1.0, degrees_ = 0.0;
};

}  // namespace

Vector RoadFit::torque_row(std::size_t curve, double engine_rad_s) const {
    Vector row = Vector::Zero(layout.size);
    const SplineBasis basis = layout.spline.at(engine_rad_s);
    for (std::size_t k = 0; k < 4; ++k)
        row[layout.curve(curve) + static_cast<Eigen::Index>(basis.first + k)] = basis.value[k];
    return row;
}

Result<RoadFit> fit_road(const RoadDrive& drive) { return RoadFitter(drive).run(); }

}  // namespace revwright
