#include "review/lag_model.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace revwright {
namespace {

constexpr double kHoleSeconds = 2.0;
constexpr double kLeastLag = 1e-4;

/// Linear between samples, looked up at times that move forward but for small steps back.
class Target {
public:
    explicit Target(const Series& series) : series_(series) {}
    double at(double t) {
        if (t <= series_.times.front()) return series_.values.front();
        if (t > series_.times.back()) return std::numeric_limits<double>::quiet_NaN();
        while (series_.times[next_] < t) ++next_;
        while (next_ > 1 && series_.times[next_ - 1] >= t) --next_;
        const double from = series_.times[next_ - 1];
        const double part = (t - from) / (series_.times[next_] - from);
        return std::lerp(series_.values[next_ - 1], series_.values[next_], part);
    }

private:
    Series series_;
    std::size_t next_ = 1;
};

}  // namespace

double LambdaLag::delay_at(double flow) const {
    if (!(flow > 0.0)) return delay_s;
    return std::max(0.0, delay_s + flow_term * (1.0 / flow - 1.0 / mid_flow));
}

std::vector<double> probe_response(const Series& target, std::span<const double> times, std::span<const double> flow,
                                   const LambdaLag& lag) {
    std::vector<double> shown(times.size(), std::numeric_limits<double>::quiet_NaN());
    if (target.size() < 2) return shown;
    Target commanded(target);
    const double tau = std::max(lag.lag_s, kLeastLag);
    double before = 0.0, last_step = -1.0, decay = 0.0;
    bool settled = true;
    for (std::size_t i = 0; i < times.size(); ++i) {
        const double now = commanded.at(times[i] - lag.delay_at(flow[i]));
        const double step = i > 0 ? times[i] - times[i - 1] : 0.0;
        if (settled || step > kHoleSeconds) {
            shown[i] = now;
        } else {
            if (step != last_step) decay = std::exp(-step / tau);
            last_step = step;
            const double ramp = (now - before) / step * tau;
            shown[i] = now - ramp + (shown[i - 1] - before + ramp) * decay;
        }
        settled = std::isnan(now);
        before = now;
    }
    return shown;
}

}  // namespace revwright
