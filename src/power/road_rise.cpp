#include "power/road_rise.h"

#include <cmath>
#include <fmt/format.h>

namespace revwright {
namespace {

// Our choice, common practice, no source.
constexpr double kLargeSlope = 0.015;  // 5 % of torque in third gear, and more in a higher one
constexpr double kDriftM = 3.0;        // of a receiver's altitude within a pull
constexpr double kKmHPerMs = 3.6;

double way_driven(const Samples& speed) {
    double way = 0.0;
    for (std::size_t i = 1; i < speed.times.size(); ++i)
        way += 0.5 * (speed.values[i] + speed.values[i - 1]) / kKmHPerMs * (speed.times[i] - speed.times[i - 1]);
    return way;
}

bool states_slope(const RunView& run) {
    return run.job->site.slope_pct != 0.0 || (run.driven.run != nullptr && run.driven.run->slope_pct.has_value());
}

}  // namespace

std::optional<double> rise_along(const PullView& view) {
    const Samples altitude = view.samples(Signal::altitude_m);
    Samples speed = view.samples(Signal::gnss_speed_km_h);
    if (speed.times.size() < 2) speed = view.samples(Signal::vehicle_speed_km_h);
    const double way = way_driven(speed);
    if (altitude.values.size() < 2 || way <= 0.0) return std::nullopt;
    const double rise = altitude.values.back() - altitude.values.front();
    if (std::abs(rise) < kDriftM) return std::nullopt;
    return rise / way;
}

std::string unknown_rise(std::span<const RunView* const> runs, std::span<const Pull> pulls) {
    for (std::size_t i = 0; i < pulls.size(); ++i) {
        if (states_slope(*runs[i])) continue;
        const auto slope = rise_along({runs[i], pulls[i]});
        if (!slope || std::abs(*slope) < kLargeSlope) continue;
        return fmt::format(
            "pull {} {} {:.1f} % by its logged altitude, and no slope is stated: state slope_pct in its "
            "[[run]], or drive the road both ways",
            pulls[i].index, *slope > 0.0 ? "climbs" : "falls", 100.0 * std::abs(*slope));
    }
    return {};
}

}  // namespace revwright
