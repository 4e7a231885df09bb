#include "review/lag_fit.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "review/lag_model.h"

namespace revwright {
namespace {

// The prior within the total, METHODS 4.1: probe 50 to 100 ms; half of the transport shrinks with flow (our choice).
constexpr double kPriorLag = 0.075, kPriorLagSd = 0.03;
constexpr double kPriorShare = 0.5, kPriorShareSd = 0.3;
constexpr double kFlowShareDoubt = 0.15;  // of the delay: the target seldom moves at more than one flow
constexpr double kLeastNoise = 0.001;     // lambda; finer than any probe resolves
constexpr double kMostDelay = 0.6, kMostLag = 0.4;
constexpr std::array kDelays{0.0, 0.03, 0.06, 0.09, 0.13, 0.18, 0.25, 0.35, 0.5};
constexpr std::array kLags{0.02, 0.05, 0.08, 0.12, 0.18, 0.28};
constexpr int kRefinements = 7;  // each halves the step: 20 ms down to below 1 ms

struct Point {
    double delay, lag, share;
    double total() const { return delay + lag; }
};

LambdaLag lag_at(const Point& point, double mid_flow) {
    LambdaLag lag;
    lag.delay_s = point.delay;
    lag.flow_term = point.share * point.delay * mid_flow;
    lag.lag_s = point.lag;
    lag.mid_flow = mid_flow;
    return lag;
}

/// Sums for a straight line through (model, measured) with an own offset per segment.
struct Sums {
    double uu = 0.0, uv = 0.0, vv = 0.0;
    std::size_t count = 0;
};

void add(Sums& sums, const LagSegment& segment, std::span<const double> model) {
    double n = 0.0, u = 0.0, v = 0.0, uu = 0.0, uv = 0.0, vv = 0.0;
    for (std::size_t i = 0; i < model.size(); ++i) {
        if (std::isnan(model[i])) continue;
        const double x = model[i] - 1.0, y = segment.lambda[i] - 1.0;
        n += 1.0, u += x, v += y, uu += x * x, uv += x * y, vv += y * y;
    }
    if (n < 1.0) return;
    sums.uu += uu - u * u / n, sums.uv += uv - u * v / n, sums.vv += vv - v * v / n;
    sums.count += static_cast<std::size_t>(n);
}

class LagFit {
public:
    LagFit(std::span<const LagSegment> segments, double mid_flow, const LambdaLag& prior)
        : segments_(segments), mid_flow_(mid_flow), prior_(prior) {}

    LambdaLag run() {
        Point best = coarse();
        const double samples = static_cast<double>(sums(best).count);
        const double freedom = std::max(1.0, samples - static_cast<double>(segments_.size()) - 4.0);
        noise_ = std::max(kLeastNoise, std::sqrt(residual(best) / freedom));
        best = refine(best);
        LambdaLag lag = lag_at(best, mid_flow_);
        lag.identified = true;
        lag.total_sd_s = std::hypot(spread(best), kFlowShareDoubt * best.delay);
        return lag;
    }

private:
    Sums sums(const Point& point) const {
        const LambdaLag lag = lag_at(point, mid_flow_);
        Sums all;
        for (const LagSegment& segment : segments_)
            add(all, segment, probe_response(segment.target.series(), segment.times, segment.flow, lag));
        return all;
    }

    double residual(const Point& point) const {
        const Sums all = sums(point);
        const double gain = all.uu > 0.0 ? std::clamp(all.uv / all.uu, 0.5, 1.5) : 1.0;
        return all.vv - 2.0 * gain * all.uv + gain * gain * all.uu;
    }

    double cost(const Point& point) const {
        const auto off = [](double value, double mean, double sd) {
            return (value - mean) * (value - mean) / (sd * sd);
        };
        return residual(point) / (noise_ * noise_) + off(point.lag, kPriorLag, kPriorLagSd) +
               off(point.share, kPriorShare, kPriorShareSd) + off(point.total(), prior_.total_s(), prior_.total_sd_s);
    }

    Point coarse() const {
        Point best{};
        double least = INFINITY;
        for (const double delay : kDelays)
            for (const double lag : kLags) {
                const Point point{delay, lag, kPriorShare};
                if (const double c = cost(point); c < least) least = c, best = point;
            }
        return best;
    }

    /// Pattern search: along delay, lag, their exchange at equal total, and the share.
    Point refine(Point best) const {
        constexpr std::array<Point, 4> ways{{{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {1.0, -1.0, 0.0}, {0.0, 0.0, 10.0}}};
        double least = cost(best), step = 0.02;
        for (int round = 0; round < kRefinements; ++round, step *= 0.5)
            for (const Point& way : ways)
                for (const double sign : {-1.0, 1.0}) {
                    for (int moves = 0; moves < 4; ++moves) {
                        const double s = sign * step;
                        const Point next{std::clamp(best.delay + s * way.delay, 0.0, kMostDelay),
                                         std::clamp(best.lag + s * way.lag, 0.005, kMostLag),
                                         std::clamp(best.share + s * way.share, 0.0, 1.0)};
                        const double c = cost(next);
                        if (c >= least) break;
                        least = c, best = next;
                    }
                }
        return best;
    }

    /// From the curvature of the cost along the delay; never below 2 ms, which the sampling alone leaves open.
    double spread(const Point& best) const {
        constexpr double h = 0.01;
        const Point up{best.delay + h, best.lag, best.share}, down{std::max(0.0, best.delay - h), best.lag, best.share};
        const double here = cost(best);
        const double curvature = (cost(up) + cost(down) - 2.0 * here) / (h * h);
        if (!(curvature > 0.0)) return prior_.total_sd_s;
        return std::clamp(std::sqrt(2.0 / curvature), 0.002, prior_.total_sd_s);
    }

    std::span<const LagSegment> segments_;
    double mid_flow_;
    LambdaLag prior_;
    double noise_ = 0.004;  // sensor noise METHODS 4.2 reckons with, until the residual tells
};

}  // namespace

LambdaLag fit_lag(std::span<const LagSegment> segments, double mid_flow, const LambdaLag& prior) {
    return LagFit(segments, mid_flow, prior).run();
}

}  // namespace revwright
