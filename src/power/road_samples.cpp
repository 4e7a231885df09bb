#include "power/road_samples.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "power/road_motion.h"

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;

constexpr double kLongestStep = 0.05;        // s; a step four times as long moves no torque by 0.01 %
constexpr int kGuessRounds = 2;              // the second knows torque, and with it how a pull's effect counts
constexpr double kGuessedSmoothness = 0.01;  // of a bend, as part of what the speeds tell of torque
constexpr double kGuessedVariance = 1.0;     // of an engine speed as read, (rad/s)^2: 10 rpm

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

/// How the speeds of one pull would answer to each parameter if the car were at every moment as fast as was read. A
/// pull that is integrated with what is told of wind and slope may stall before its end; this one cannot.
void add_as_read(const RoadDrive& drive, const RoadParameters& layout, const Vector& p, std::size_t pull,
                 SampleSums& into) {
    const RoadMotion motion(drive, layout, pull);
    const SpeedSamples speed = engine_speed_of(drive.pulls[pull], p[kRadius]);
    const Vector still = Vector::Zero(layout.size);
    Vector row = Vector::Unit(layout.size, layout.pull(pull)), before = still, after = still;
    double reached = p[layout.pull(pull)], rate_before = motion.rate(p, speed.value.front(), still, before);
    for (std::size_t s = 0; s < speed.value.size(); ++s) {
        if (s > 0) {  // as the trapezoid rule has it
            const double half = 0.5 * (speed.time_s[s] - speed.time_s[s - 1]);
            const double rate_after = motion.rate(p, speed.value[s], still, after);
            row += half * (before + after);
            reached += half * (rate_before + rate_after);
            rate_before = rate_after;
            std::swap(before, after);
        }
        into.add(speed.value[s] - reached, row.cwiseProduct(layout.free));
    }
}

/// Towards the parameters that explain the speeds as read, along curves of little bend.
Vector guess_step(const RoadDrive& drive, const RoadParameters& layout, const Vector& p) {
    SampleSums speeds(layout.size);
    for (std::size_t i = 0; i < drive.pulls.size(); ++i) add_as_read(drive, layout, p, i, speeds);
    Eigen::MatrixXd normal = speeds.full_information() / kGuessedVariance;
    Vector right = speeds.gradient / kGuessedVariance;
    // The car stays as told: for the sake of a curve of little bend it would be taken for lighter than it is.
    Vector held = Vector::Ones(layout.size) - layout.free;
    held.head(kSharedCount).setOnes();
    held[kSlope] = 1.0 - layout.free[kSlope], held[kWind] = 1.0 - layout.free[kWind];
    for (Eigen::Index i = 0; i < layout.size; ++i)
        if (held[i] > 0.0) normal.row(i).setZero(), normal.col(i).setZero(), right[i] = 0.0;
    const Eigen::Index torques = layout.size - layout.curves;
    const double weight = kGuessedSmoothness * normal.diagonal().tail(torques).mean();
    for (std::size_t curve = 0; curve < drive.curves; ++curve)
        for (Eigen::Index k = layout.curve(curve); k + 2 < layout.curve(curve + 1); ++k) {
            const Eigen::Vector3d bend(1.0, -2.0, 1.0);
            normal.block<3, 3>(k, k) += weight * bend * bend.transpose();
            right.segment<3>(k) -= weight * bend.dot(p.segment<3>(k)) * bend;
        }
    layout.add_prior(normal, right, p);
    normal.diagonal() += held;
    normal.diagonal().tail(torques).array() += 1e-9 * weight;  // a curve that no pull has driven
    return normal.ldlt().solve(right);
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
    const bool engine =
        std::ranges::any_of(drive.pulls, [](const RoadPull& pull) { return !pull.engine_rad_s.empty(); });
    const double powers = engine ? 2.0 : 1.0, r = p[kRadius], ratio = drive.pulls.front().overall_ratio;
    const RoadMotion motion(drive, layout, 0);
    const auto shown = [&](const Vector& at) {
        return at[kEfficiency] / (std::pow(at[kRadius], powers) * motion.effective_mass(at));
    };
    const double scale = shown(p) / shown(layout.prior_mean), mass = motion.effective_mass(p);
    const double rotating = 8.0 * drive.car.wheel_inertia_kg_m2 +
                            2.0 * drive.car.efficiency.mean * drive.car.engine_inertia_kg_m2 * ratio * ratio;
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
    for (int round = 0; round < kGuessRounds; ++round) p += guess_step(drive, layout, p);
    return p;
}

}  // namespace revwright
