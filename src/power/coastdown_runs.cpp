#include "power/coastdown_runs.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

constexpr double kG = kGravity.si;
constexpr double kLongestStep = 0.5;  // s; coasting changes over tens of seconds

constexpr Eigen::Index kOwnSlope = kCoastShared, kOwnWind = kOwnSlope + 1, kFirst = kOwnWind + 1;
constexpr Eigen::Index kOwn = kCoastLocal - kCoastShared;
using Square = Eigen::Matrix<double, kCoastLocal, kCoastLocal>;

/// A coasting car: its speed, and the derivative of that by every parameter of its run.
class CoastingCar {
public:
    CoastingCar(const CoastRow& p, const RoadRun& road)
        : p_(p),
          along_(road.along),
          mass_(p[kCoastMass] + road.extra_mass_kg),
          effective_(mass_ + p[kCoastTurning]),
          slope_(along_ * p[kCoastSlope] + p[kOwnSlope]),
          wind_(along_ * p[kCoastWind] + p[kOwnWind]),
          speed_(p[kFirst]),
          by_(CoastRow::Unit(kFirst)) {}

    double speed() const { return speed_; }
    const CoastRow& by() const { return by_; }

    void coast(double seconds) {
        const int steps = std::max(1, static_cast<int>(std::ceil(seconds / kLongestStep)));
        for (int i = 0; i < steps; ++i) step(seconds / steps);
    }

private:
    /// Runge and Kutta's step of fourth order.
    void step(double h) {
        CoastRow k1, k2, k3, k4;
        const double f1 = rate(speed_, by_, k1);
        const double f2 = rate(speed_ + 0.5 * h * f1, by_ + 0.5 * h * k1, k2);
        const double f3 = rate(speed_ + 0.5 * h * f2, by_ + 0.5 * h * k2, k3);
        const double f4 = rate(speed_ + h * f3, by_ + h * k3, k4);
        speed_ += h / 6.0 * (f1 + 2.0 * f2 + 2.0 * f3 + f4);
        by_ += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }

    double rate(double v, const CoastRow& by, CoastRow& by_rate) const {
        const double air = v + wind_, drag = 2.0 * p_[kCoastC] * std::abs(air);
        const double force = p_[kCoastA] + p_[kCoastB] * v + p_[kCoastC] * air * std::abs(air) + mass_ * kG * slope_;
        const double rate = -force / effective_;
        by_rate = -(p_[kCoastB] + drag) / effective_ * by;
        by_rate[kCoastA] -= 1.0 / effective_;
        by_rate[kCoastB] -= v / effective_;
        by_rate[kCoastC] -= air * std::abs(air) / effective_;
        by_rate[kCoastMass] -= (kG * slope_ + rate) / effective_;
        by_rate[kCoastTurning] -= rate / effective_;
        by_rate[kCoastSlope] -= along_ * mass_ * kG / effective_;
        by_rate[kOwnSlope] -= mass_ * kG / effective_;
        by_rate[kCoastWind] -= along_ * drag / effective_;
        by_rate[kOwnWind] -= drag / effective_;
        return rate;
    }

    const CoastRow& p_;
    double along_, mass_, effective_, slope_, wind_, speed_;
    CoastRow by_;
};

/// What gusts have added to the speed, and how they push now, as the samples so far tell it; variances in those of a
/// sample's own noise. What it makes of the residuals it makes of their derivatives too.
class GustFilter {
public:
    explicit GustFilter(const Gusts& gusts) : gusts_(gusts), of_push_(gusts.walk / (2.0 * gusts.lasting_s)) {}

    double added() const { return added_; }
    const CoastRow& by_added() const { return by_added_; }
    double spread() const { return of_added_ + 1.0; }

    void predict(double seconds) {
        const double T = gusts_.lasting_s, stays = std::exp(-seconds / T), gone = 1.0 - stays, reach = T * gone;
        added_ += reach * push_, push_ *= stays;
        by_added_ += reach * by_push_, by_push_ *= stays;
        const double q = gusts_.walk;
        of_added_ += 2.0 * reach * of_both_ + reach * reach * of_push_ +
                     q * std::max(0.0, seconds - 2.0 * reach + 0.5 * reach * (1.0 + stays));
        of_both_ = stays * (of_both_ + reach * of_push_) + 0.5 * q * gone * gone;
        of_push_ = stays * stays * of_push_ + 0.5 * q / T * (1.0 - stays * stays);
    }

    /// Takes in how far a sample is from what was foretold, and the derivatives of that.
    void correct(double residual, const CoastRow& by) {
        const double to_added = of_added_ / spread(), to_push = of_both_ / spread();
        added_ += to_added * residual, push_ += to_push * residual;
        by_added_ += to_added * by, by_push_ += to_push * by;
        of_push_ -= to_push * of_both_;
        of_both_ *= 1.0 - to_added;
        of_added_ *= 1.0 - to_added;
    }

private:
    Gusts gusts_;
    double added_ = 0.0, push_ = 0.0;
    double of_added_ = 0.0, of_both_ = 0.0, of_push_;  // variances, and the covariance of both
    CoastRow by_added_ = CoastRow::Zero(), by_push_ = CoastRow::Zero();
};

/// Adds what one run says about its own ten parameters to the sums over all of them.
void add_run(CoastSums& sums, const Square& information, const CoastRow& gradient, Eigen::Index own) {
    sums.information.topLeftCorner<kCoastShared, kCoastShared>() +=
        information.topLeftCorner<kCoastShared, kCoastShared>();
    sums.information.block<kOwn, kOwn>(own, own) += information.bottomRightCorner<kOwn, kOwn>();
    sums.information.block<kOwn, kCoastShared>(own, 0) += information.bottomLeftCorner<kOwn, kCoastShared>();
    sums.information.block<kCoastShared, kOwn>(0, own) += information.topRightCorner<kCoastShared, kOwn>();
    sums.gradient.head<kCoastShared>() += gradient.head<kCoastShared>();
    sums.gradient.segment<kOwn>(own) += gradient.tail<kOwn>();
}

}  // namespace

std::vector<std::vector<CoastSample>> follow_coastdown(const CoastdownTest& test, const Eigen::VectorXd& parameters) {
    std::vector<std::vector<CoastSample>> runs(test.runs.size());
    for (std::size_t i = 0; i < test.runs.size(); ++i) {
        const auto& [time, value] = test.runs[i].speed_m_per_s;
        CoastRow p;
        p << parameters.head<kCoastShared>(), parameters.segment<kOwn>(coast_run(i));
        CoastingCar car(p, test.runs[i].road);
        runs[i].reserve(value.size());
        for (std::size_t s = 0; s < value.size(); ++s) {
            const double after = s == 0 ? 0.0 : time[s] - time[s - 1];
            if (s > 0) car.coast(after);
            runs[i].push_back({after, value[s] - car.speed(), car.by()});
        }
    }
    return runs;
}

CoastSums sum_up(const std::vector<std::vector<CoastSample>>& runs, const Gusts& gusts) {
    const Eigen::Index size = coast_run(runs.size());
    CoastSums sums{.information = Eigen::MatrixXd::Zero(size, size), .gradient = Eigen::VectorXd::Zero(size)};
    for (std::size_t i = 0; i < runs.size(); ++i) {
        Square information = Square::Zero();
        CoastRow gradient = CoastRow::Zero();
        GustFilter filter(gusts);
        for (const CoastSample& sample : runs[i]) {
            filter.predict(sample.after_s);
            const CoastRow by = sample.by - filter.by_added();
            const double residual = sample.residual - filter.added(), spread = filter.spread();
            filter.correct(residual, by);
            information.selfadjointView<Eigen::Lower>().rankUpdate(by, 1.0 / spread);
            gradient += residual / spread * by;
            sums.squares += residual * residual / spread, sums.count += 1.0;
            sums.log_spread += std::log(spread);
        }
        add_run(sums, Square(information.selfadjointView<Eigen::Lower>()), gradient, coast_run(i));
    }
    return sums;
}

}  // namespace revwright
