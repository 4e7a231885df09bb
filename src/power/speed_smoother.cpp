#include "power/speed_smoother.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <limits>

namespace revwright {
namespace {

using State = Eigen::Vector3d;
using Square = Eigen::Matrix3d;

constexpr double kKnowsNothing = 1e10;  // variance of the first state, in variances of a sample and mean intervals
constexpr int kStates = 3;

/// Mean and covariance of the state, the latter in variances of a sample.
struct Belief {
    State mean = State::Zero();
    Square covariance = Square::Zero();
};

/// Time is counted in mean intervals here, so that all figures are of one size.
struct Track {
    std::vector<double> interval = {};  // before each sample; 0 before the first
    std::vector<double> value = {};
    double mean_interval_s = 1.0;
};

Track track_of(const SpeedSamples& samples) {
    Track track{.value = samples.value};
    const std::size_t n = samples.time_s.size();
    track.mean_interval_s = (samples.time_s.back() - samples.time_s.front()) / static_cast<double>(n - 1);
    track.interval.assign(n, 0.0);
    for (std::size_t i = 1; i < n; ++i)
        track.interval[i] = (samples.time_s[i] - samples.time_s[i - 1]) / track.mean_interval_s;
    return track;
}

Square transition(double h) {
    Square step;
    step << 1.0, h, 0.5 * h * h, 0.0, 1.0, h, 0.0, 0.0, 1.0;
    return step;
}

/// What white noise of unit strength, driving the jerk for h, does to the state.
Square wandering(double h) {
    const double h2 = h * h, h3 = h2 * h, h4 = h3 * h, h5 = h4 * h;
    Square noise;
    noise << h5 / 20.0, h4 / 8.0, h3 / 6.0, h4 / 8.0, h3 / 3.0, h2 / 2.0, h3 / 6.0, h2 / 2.0, h;
    return noise;
}

/// Kalman's filter along a track; `strength` of the wandering is over the variance of a sample.
class Filter {
public:
    Filter(const Track& track, double strength) : track_(track), strength_(strength) {
        const double n = static_cast<double>(track.value.size() - 1);
        now_.mean << track.value.front(), (track.value.back() - track.value.front()) / n, 0.0;
        now_.covariance = kKnowsNothing * Square::Identity();
    }

    void predict(std::size_t i) {
        const Square step = transition(track_.interval[i]);
        now_.mean = step * now_.mean;
        now_.covariance = Square(step * now_.covariance * step.transpose()) + strength_ * wandering(track_.interval[i]);
    }

    void correct(std::size_t i) {
        const double spread = now_.covariance(0, 0) + 1.0, surprise = track_.value[i] - now_.mean[0];
        const State gain = now_.covariance.col(0) / spread;
        // The first samples only say where the state is.
        if (i >= kStates) squares_ += surprise * surprise / spread, logs_ += std::log(spread), count_ += 1.0;
        now_.mean += surprise * gain;
        // Joseph's form, which stays positive whatever is rounded.
        Square left = Square::Identity();
        left.col(0) -= gain;
        now_.covariance = Square(left * now_.covariance * left.transpose()) + gain * gain.transpose();
    }

    const Belief& now() const { return now_; }
    double variance() const { return std::max(1e-300, squares_ / count_); }
    /// Minus twice the logarithm of how probable the samples are, but for a constant.
    double improbable() const { return count_ * std::log(variance()) + logs_; }

private:
    const Track& track_;
    double strength_;
    Belief now_;
    double squares_ = 0.0, logs_ = 0.0, count_ = 0.0;
};

double improbable(const Track& track, double log_strength) {
    Filter filter(track, std::exp(log_strength));
    for (std::size_t i = 0; i < track.value.size(); ++i) {
        if (i > 0) filter.predict(i);
        filter.correct(i);
    }
    return filter.improbable();
}

/// The logarithm of the strength that makes the samples most probable: the best of a coarse row, then narrowed.
double most_probable_strength(const Track& track) {
    constexpr double kFrom = -30.0, kTo = 4.0, kStep = 2.0, kFine = 0.1;
    double best = kFrom, least = std::numeric_limits<double>::infinity();
    const auto look_at = [&](double log_strength) {
        if (const double found = improbable(track, log_strength); found < least) least = found, best = log_strength;
    };
    for (double at = kFrom; at <= kTo; at += kStep) look_at(at);
    for (double step = 0.5 * kStep; step > kFine; step *= 0.5) {
        const double middle = best;
        look_at(middle - step);
        look_at(middle + step);
    }
    return best;
}

/// Smoother of fixed interval: each belief corrected by what came later.
void look_back(const Track& track, std::vector<Belief>& filtered, const std::vector<Belief>& predicted) {
    for (std::size_t i = filtered.size() - 1; i-- > 0;) {
        Belief& here = filtered[i];
        const Belief &later = filtered[i + 1], &foreseen = predicted[i + 1];
        const Square moved = transition(track.interval[i + 1]) * here.covariance;
        const Square gain = foreseen.covariance.llt().solve(moved).transpose();
        here.mean += gain * (later.mean - foreseen.mean);
        here.covariance += Square(gain * (later.covariance - foreseen.covariance) * gain.transpose());
    }
}

}  // namespace

SmoothedSpeed smooth_speed(const SpeedSamples& samples) {
    const Track track = track_of(samples);
    const double strength = std::exp(most_probable_strength(track));
    Filter filter(track, strength);
    const std::size_t n = track.value.size();
    std::vector<Belief> filtered(n), predicted(n);
    for (std::size_t i = 0; i < n; ++i) {
        if (i > 0) filter.predict(i);
        predicted[i] = filter.now();
        filter.correct(i);
        filtered[i] = filter.now();
    }
    look_back(track, filtered, predicted);

    const double noise = std::sqrt(filter.variance()), per_s = 1.0 / track.mean_interval_s;
    SmoothedSpeed smooth{.time_s = samples.time_s, .noise = noise};
    smooth.jerk_walk = noise * std::sqrt(strength * std::pow(per_s, 5));
    for (const Belief& belief : filtered) {
        const auto sd = [&](Eigen::Index k) { return noise * std::sqrt(std::max(0.0, belief.covariance(k, k))); };
        smooth.speed.push_back(belief.mean[0]);
        smooth.speed_sd.push_back(sd(0));
        smooth.acceleration.push_back(belief.mean[1] * per_s);
        smooth.acceleration_sd.push_back(sd(1) * per_s);
    }
    return smooth;
}

}  // namespace revwright
