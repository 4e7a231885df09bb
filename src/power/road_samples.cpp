#include "power/road_samples.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "power/road_motion.h"

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;

constexpr double kLongestStep = 0.05;  // s; a step four times as long moves no torque by 0.01 %

/// A pull on its way: engine speed, and its derivative by every parameter, at `now`.
class Follower {
public:
    Follower(const RoadMotion& motion, const Vector& parameters, Eigen::Index first_speed, double now)
        : motion_(motion),
          parameters_(parameters),
          now_(now),
          speed_(parameters[first_speed]),
          by_(Vector::Unit(parameters.size(), first_speed)),
          k1_(by_),
          k2_(by_),
          k3_(by_),
          k4_(by_) {}

    double speed() const { return speed_; }
    const Vector& by() const { return by_; }
    double rate() { return motion_.rate(parameters_, speed_, by_, k1_); }

    /// To another time, which may lie before: by Runge and Kutta's steps of fourth order.
    void move_to(double time) {
        const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(time - now_) / kLongestStep)));
        const double h = (time - now_) / steps;
        for (int i = 0; i < steps && h != 0.0; ++i) step(h);
        now_ = time;
    }

private:
    void step(double h) {
        const double f1 = motion_.rate(parameters_, speed_, by_, k1_);
        const double f2 = motion_.rate(parameters_, speed_ + 0.5 * h * f1, by_ + 0.5 * h * k1_, k2_);
        const double f3 = motion_.rate(parameters_, speed_ + 0.5 * h * f2, by_ + 0.5 * h * k2_, k3_);
        const double f4 = motion_.rate(parameters_, speed_ + h * f3, by_ + h * k3_, k4_);
        speed_ += h / 6.0 * (f1 + 2.0 * f2 + 2.0 * f3 + f4);
        by_ += h / 6.0 * (k1_ + 2.0 * k2_ + 2.0 * k3_ + k4_);
    }

    const RoadMotion& motion_;
    const Vector& parameters_;
    double now_, speed_;
    Vector by_, k1_, k2_, k3_, k4_;
};

/// What the road speed reads at an engine speed, by every parameter.
Vector road_speed_row(const Vector& p, double speed, double rate, const Vector& by, double overall_ratio) {
    const double R = p[kRadius] / overall_ratio;
    Vector row = p[kSpeedScale] * R * by;
    row[kRadius] += p[kSpeedScale] * speed / overall_ratio;
    row[kSpeedScale] += R * speed;
    row[kSpeedDelay] -= p[kSpeedScale] * R * rate;
    return row;
}

}  // namespace

void SampleSums::add(double residual, const Vector& row) {
    squares += residual * residual;
    count += 1.0;
    information.selfadjointView<Eigen::Lower>().rankUpdate(row);
    gradient += residual * row;
}

double SampleSums::squares_after(const Vector& change) const {
    return squares - 2.0 * change.dot(gradient) +
           change.dot(Vector(information.selfadjointView<Eigen::Lower>() * change));
}

RoadSums follow_pulls(const RoadDrive& drive, const RoadParameters& layout, const Vector& p) {
    RoadSums sums{SampleSums(layout.size), SampleSums(layout.size)};
    for (std::size_t i = 0; i < drive.pulls.size(); ++i) {
        const RoadPull& pull = drive.pulls[i];
        const SpeedSamples &engine = pull.engine_rad_s, &road = pull.road_m_per_s;
        const RoadMotion motion(drive, layout, i);
        const auto road_time = [&](std::size_t k) { return road.time_s[k] - p[kSpeedDelay]; };
        Follower car(motion, p, layout.pull(i), engine.empty() ? road_time(0) : engine.time_s.front());
        for (std::size_t e = 0, r = 0; e < engine.time_s.size() || r < road.time_s.size();) {
            const bool is_engine =
                r == road.time_s.size() || (e < engine.time_s.size() && engine.time_s[e] <= road_time(r));
            car.move_to(is_engine ? engine.time_s[e] : road_time(r));
            if (is_engine) {
                sums.engine.add(engine.value[e++] - car.speed(), car.by().cwiseProduct(layout.free));
                continue;
            }
            const Vector row = road_speed_row(p, car.speed(), car.rate(), car.by(), pull.overall_ratio);
            const double read = p[kSpeedScale] * motion.metres_per_radian(p) * car.speed();
            sums.road.add(road.value[r++] - read, row.cwiseProduct(layout.free));
        }
    }
    return sums;
}

SampleSums follow_bends(const RoadDrive& drive, const RoadParameters& layout, const Vector& p) {
    // Torque over what the speeds show of it, as parts of what is known beforehand; the first pull's gear stands for
    // all. Engine speed shows the radius twice, road speed once.
    const bool engine = std::ranges::any_of(drive.pulls, [](const RoadPull& pull) { return !pull.engine_rad_s.empty(); });
    const double powers = engine ? 2.0 : 1.0, r = p[kRadius], ratio = drive.pulls.front().overall_ratio;
    const RoadMotion motion(drive, layout, 0);
    const auto shown = [&](const Vector& at) {
        return at[kEfficiency] / (std::pow(at[kRadius], powers) * motion.effective_mass(at));
    };
    const double scale = shown(p) / shown(layout.prior_mean), mass = motion.effective_mass(p);
    const double rotating = 8.0 * drive.car.wheel_inertia_kg_m2 + 2.0 * drive.car.engine_inertia_kg_m2 * ratio * ratio;
    SampleSums sums(layout.size);
    for (std::size_t curve = 0; curve < drive.curves; ++curve)
        for (Eigen::Index k = layout.curve(curve); k + 2 < layout.curve(curve + 1); ++k) {
            const double bend = scale * (p[k] - 2.0 * p[k + 1] + p[k + 2]);
            Vector row = Vector::Zero(layout.size);
            row.segment<3>(k) = scale * Eigen::Vector3d(1.0, -2.0, 1.0);
            row[kMass] = -bend / mass;
            row[kRadius] = bend * (rotating / (r * r * r) / mass - powers / r);
            row[kEfficiency] = bend / p[kEfficiency];
            sums.add(-bend, row.cwiseProduct(layout.free));
        }
    return sums;
}

Vector first_guess(const RoadDrive& drive, const RoadParameters& layout) {
    Vector p = layout.prior_mean;
    const Eigen::Index torques = layout.size - layout.curves, open = layout.size - layout.pulls;
    // Of the pulls' first speeds and the torques, in the order of the parameters.
    Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(open, open);
    Vector right = Vector::Zero(open);
    for (std::size_t i = 0; i < drive.pulls.size(); ++i) {
        const RoadMotion motion(drive, layout, i);
        const SpeedSamples speed = engine_speed_of(drive.pulls[i], p[kRadius]);
        const double per_torque = motion.rate_of_torque(p);
        Vector row = Vector::Unit(open, static_cast<Eigen::Index>(i));
        double known = 0.0;
        for (std::size_t s = 0; s < speed.value.size(); ++s) {
            // Each interval is shared between its two samples, as the trapezoid rule has it.
            for (const std::size_t end : {s - 1, s}) {
                if (s == 0) break;
                const double half = 0.5 * (speed.time_s[s] - speed.time_s[s - 1]);
                const SplineBasis basis = layout.spline.at(speed.value[end]);
                const Eigen::Index first = layout.curve(drive.pulls[i].curve) - layout.pulls;
                for (std::size_t k = 0; k < 4; ++k)
                    row[first + static_cast<Eigen::Index>(basis.first + k)] += half * per_torque * basis.value[k];
                known += half * motion.rate_without_torque(p, speed.value[end]);
            }
            normal.selfadjointView<Eigen::Lower>().rankUpdate(row);
            right += (speed.value[s] - known) * row;
        }
    }
    normal = Eigen::MatrixXd(normal.selfadjointView<Eigen::Lower>());
    const double weight = normal.diagonal().tail(torques).mean();
    const auto count = static_cast<Eigen::Index>(layout.spline.coefficients());
    for (std::size_t curve = 0; curve < drive.curves; ++curve)
        for (Eigen::Index k = layout.curve(curve) - layout.pulls; k + 2 < layout.curve(curve) - layout.pulls + count;
             ++k) {
            const Eigen::Vector3d bend(1.0, -2.0, 1.0);
            normal.block<3, 3>(k, k) += weight * bend * bend.transpose();
        }
    normal.diagonal().tail(torques).array() += 1e-9 * weight;  // a curve that no pull has driven
    p.tail(open) = normal.ldlt().solve(right);
    return p;
}

}  // namespace revwright
