#include "review/settled_exhaust.h"

#include <algorithm>
#include <cmath>

#include "review/window.h"

namespace revwright {
namespace {

constexpr double kProbeLag = 1.4, kProbeLagSd = 0.2;
constexpr double kWallShare = 0.30, kWallShareSd = 0.05;
constexpr double kWallLag = 6.0;
constexpr double kSlopeSeconds = 1.0;
constexpr double kUsefulSd = 13.0;
constexpr double kModelSd = 7.0;  // what two lags leave out
constexpr double kBeforeSeconds = 1.0;

/// Value and slope in the middle of a window, by least squares.
struct Line {
    double value = 0.0, slope = 0.0, slope_sd = 0.0, time_s = 0.0;
};

Line line_through(const Samples& samples, std::size_t first, std::size_t last) {
    const double n = static_cast<double>(last - first + 1);
    double t = 0.0, v = 0.0;
    for (std::size_t i = first; i <= last; ++i) t += samples.times[i], v += samples.values[i];
    t /= n, v /= n;
    double tt = 0.0, tv = 0.0, vv = 0.0;
    for (std::size_t i = first; i <= last; ++i) {
        const double dt = samples.times[i] - t, dv = samples.values[i] - v;
        tt += dt * dt, tv += dt * dv, vv += dv * dv;
    }
    const double slope = tt > 0.0 ? tv / tt : 0.0;
    const double left = std::max(0.0, vv - slope * tv);
    return {v, slope, tt > 0.0 && n > 2.0 ? std::sqrt(left / (n - 2.0) / tt) : 0.0, t};
}

/// The walls start at what the probe showed before the pull.
double wall_at_start(const PullView& view, const Samples& exhaust) {
    const Channel* channel = view.run->find(Signal::exhaust_temp_c);
    const Samples before =
        samples_within(view.run->log(), *channel, view.pull.start_s - kBeforeSeconds, view.pull.start_s);
    return before.values.empty() ? exhaust.values.front() : median(before.values);
}

}  // namespace

std::optional<SettledExhaust> settled_exhaust(const PullView& view) {
    const Samples exhaust = view.samples(Signal::exhaust_temp_c);
    if (exhaust.times.size() < 5) return std::nullopt;
    double wall = wall_at_start(view, exhaust), before = view.pull.start_s;
    std::optional<SettledExhaust> worst, last;
    std::size_t first = 0;
    for (std::size_t i = 0; i < exhaust.times.size(); ++i) {
        while (exhaust.times[i] - exhaust.times[first] > kSlopeSeconds) ++first;
        if (i - first < 3) continue;
        const Line line = line_through(exhaust, first, i);
        const double seen = line.value + kProbeLag * line.slope;
        const double gas = (seen - kWallShare * wall) / (1.0 - kWallShare);
        wall += (1.0 - std::exp(-(line.time_s - before) / kWallLag)) * (gas - wall);
        before = line.time_s;
        const double by_lag = kProbeLagSd * line.slope / (1.0 - kWallShare);
        const double by_wall = kWallShareSd * (seen - wall) / (1.0 - kWallShare);
        const double by_noise = kProbeLag * line.slope_sd / (1.0 - kWallShare);
        const double sd = std::hypot(std::hypot(by_lag, by_wall), std::hypot(by_noise, kModelSd));
        const SettledExhaust here{std::max(gas, line.value), sd, line.time_s, sd <= kUsefulSd};
        last = here;
        if (here.sure && (!worst || here.mean_c > worst->mean_c)) worst = here;
    }
    return worst ? worst : last;
}

}  // namespace revwright
