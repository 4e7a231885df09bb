#include "power/coastdown.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "power/coastdown_runs.h"

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

constexpr int kMostRounds = 60, kMostHalvings = 10;
constexpr double kSmallStep = 0.01;                         // of a standard deviation: nothing is gained beyond
constexpr double kLeastVariance = 1e-12;                    // of a sample: clean data must not divide by zero
constexpr double kShortestGust = 0.1, kLongestGust = 10.0;  // s
constexpr double kFewestLeft = 4.0;                         // samples beyond what the parameters use up

/// How much wider than 1.96 sd Student's 95 % interval is. Source: expansion of Cornish and Fisher (from memory); it is
/// within 1 % from four degrees of freedom on.
double widened_for(double degrees) { return 1.0 + (1.2104 + (1.4402 + 1.304 / degrees) / degrees) / degrees; }

class CoastFitter {
public:
    explicit CoastFitter(const CoastdownTest& test)
        : test_(test),
          size_(coast_run(test.runs.size())),
          mean_(Vector::Zero(size_)),
          precision_(Vector::Zero(size_)),
          free_(Vector::Ones(size_)) {
        know(kCoastMass, test.mass_kg);
        know(kCoastTurning, test.turning_mass_kg);
        know(kCoastSlope, test.slope);
        know(kCoastWind, test.headwind_m_per_s);
        if (!test.linear_term) free_[kCoastB] = 0.0;
        for (std::size_t i = 0; i < test.runs.size(); ++i) {
            know(coast_run(i), test.runs[i].road.slope);
            know(coast_run(i) + 1, test.runs[i].road.headwind_m_per_s);
        }
        at_ = mean_;
        // Any car will do to begin with.
        at_[kCoastA] = 0.012 * kGravity.si * test.mass_kg.mean, at_[kCoastC] = 0.4;
        for (std::size_t i = 0; i < test.runs.size(); ++i)
            if (!test.runs[i].speed_m_per_s.empty())
                at_[coast_run(i) + 2] = test.runs[i].speed_m_per_s.value.front();
            else
                free_[coast_run(i) + 2] = 0.0;
        runs_ = follow_coastdown(test_, at_);
        sums_ = sum_up(runs_, gusts_);
        variance_ = std::max(kLeastVariance, sums_.squares / sums_.count);
    }

    Result<CoastdownFit> run() {
        int rounds = 0;
        for (bool moving = true; moving; ++rounds) {
            if (rounds == kMostRounds) return refuse("no resistance explains the speeds of these coasting runs");
            const Vector change = solve();
            const double part = move(change);
            if (!std::isfinite(objective())) return refuse("no resistance explains the speeds of these coasting runs");
            const double variance_before = variance_, walk_before = gusts_.walk;
            const Vector sd = covariance_.diagonal().cwiseMax(1e-300).cwiseSqrt();
            const double moved = change.cwiseQuotient(sd).cwiseAbs().maxCoeff();
            // What is left over shows gusts only once the runs are nearly explained.
            weigh(moved < 3.0 && rounds < kMostRounds / 2);
            moving = part < 1.0 || moved > kSmallStep || std::abs(variance_ / variance_before - 1.0) > 0.01 ||
                     gusts_.walk != walk_before;
        }
        if (left_ < kFewestLeft)
            return refuse(
                fmt::format("{:.0f} speeds are too few for {} coasting runs: nothing is left to tell noise by",
                            sums_.count, test_.runs.size()));
        const double found = variance_;
        variance_ *= std::pow(widened_for(left_), 2);
        solve();
        const auto known = [&](Eigen::Index i) { return Uncertain{at_[i], std::sqrt(covariance_(i, i))}; };
        return CoastdownFit{.load = at_.head<3>(),
                            .covariance = covariance_.topLeftCorner<3, 3>(),
                            .slope = known(kCoastSlope),
                            .headwind_m_per_s = known(kCoastWind),
                            .noise_m_per_s = std::sqrt(found),
                            .walk_m_per_s = std::sqrt(found * gusts_.walk),
                            .gusts_last_s = gusts_.walk > 0.0 ? gusts_.lasting_s : 0.0,
                            .degrees_of_freedom = left_,
                            .rounds = rounds};
    }

private:
    void know(Eigen::Index i, Uncertain figure) {
        mean_[i] = figure.mean;
        if (figure.sd > 0.0)
            precision_[i] = 1.0 / (figure.sd * figure.sd);
        else
            free_[i] = 0.0;
    }

    double objective() const { return sums_.squares / variance_ + (at_ - mean_).cwiseAbs2().dot(precision_); }

    Matrix precision_with(const CoastSums& sums, double variance) const {
        Matrix precision = free_.asDiagonal() * sums.information * free_.asDiagonal() / variance;
        precision.diagonal() += precision_ + Vector::Ones(size_) - free_;
        return precision;
    }

    Vector solve() {
        const Matrix precision = precision_with(sums_, variance_);
        const Vector gradient = free_.cwiseProduct(sums_.gradient) / variance_ + precision_.cwiseProduct(mean_ - at_);
        // Newtons and slopes differ by powers of ten: scaled to ones on the diagonal.
        const Vector scale = precision.diagonal().cwiseMax(1e-300).cwiseSqrt().cwiseInverse();
        const Eigen::LDLT<Matrix> solved(Matrix(scale.asDiagonal() * precision * scale.asDiagonal()));
        covariance_ = scale.asDiagonal() * solved.solve(Matrix::Identity(size_, size_)) * scale.asDiagonal();
        covariance_.diagonal() = covariance_.diagonal().cwiseProduct(free_);
        return scale.cwiseProduct(solved.solve(scale.cwiseProduct(gradient)));
    }

    /// Takes the step, or as much of it as helps; says how much.
    double move(const Vector& change) {
        const double before = objective();
        const Vector from = at_;
        double part = 1.0;
        for (int halved = 0; halved < kMostHalvings; ++halved, part *= 0.5) {
            at_ = from + part * change;
            runs_ = follow_coastdown(test_, at_);
            sums_ = sum_up(runs_, gusts_);
            if (objective() <= before * (1.0 + 1e-6) + 1e-9) break;
        }
        return part;
    }

    /// Noise from what the samples leave over, and if they may still move, the gusts that make them most probable.
    void weigh(bool may_move) {
        const double used = free_.sum() - precision_.dot(covariance_.diagonal());
        left_ = sums_.count - used;
        if (may_move) seek_gusts();
        variance_ = variance_of(sums_);
    }

    /// A wide search the first time, then around what was found.
    void seek_gusts() {
        double best = improbable(gusts_);
        const auto look_at = [&](const Gusts& gusts) {
            if (const double found = improbable(gusts); found < best) best = found, gusts_ = gusts;
        };
        look_at({0.0, kShortestGust});
        if (!sought_)
            for (double lasting = kShortestGust; lasting < kLongestGust; lasting *= 4.0)
                for (double walk = 1e-3; walk < 1e3; walk *= 6.0) look_at({walk, lasting});
        sought_ = true;
        const Gusts around = gusts_;
        if (around.walk > 0.0)
            for (const double longer : {0.5, 1.0, 2.0})
                for (const double more : {0.4, 0.63, 1.0, 1.6, 2.5})
                    look_at({around.walk * more, std::max(kShortestGust, around.lasting_s * longer)});
        sums_ = sum_up(runs_, gusts_);
    }

    double variance_of(const CoastSums& sums) const {
        return std::max(kLeastVariance, sums.squares / std::max(1.0, left_));
    }

    /// Minus twice the logarithm of how probable the samples are with such gusts, the parameters integrated away.
    double improbable(const Gusts& gusts) const {
        const CoastSums sums = sum_up(runs_, gusts);
        const double variance = variance_of(sums);
        const Eigen::LDLT<Matrix> solved(precision_with(sums, variance));
        return sums.count * std::log(variance) + sums.log_spread + sums.squares / variance +
               solved.vectorD().cwiseMax(1e-300).array().log().sum();
    }

    const CoastdownTest& test_;
    Eigen::Index size_;
    Vector mean_, precision_, free_, at_;
    std::vector<std::vector<CoastSample>> runs_;
    CoastSums sums_;
    Matrix covariance_;
    double variance_ = 1.0, left_ = 0.0;
    Gusts gusts_;
    bool sought_ = false;
};

}  // namespace

Uncertain CoastdownFit::resistance_n(Speed v) const {
    const Eigen::Vector3d row(1.0, v.si, v.si * v.si);
    return {row.dot(load), std::sqrt(row.dot(covariance * row))};
}

Result<CoastdownFit> fit_coastdown(const CoastdownTest& test) {
    if (const Result<void> good = check_coastdown(test); !good) return tl::unexpected(good.error());
    return CoastFitter(test).run();
}

}  // namespace revwright
