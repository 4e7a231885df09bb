#include "review/run_view.h"

#include <algorithm>
#include <cmath>

#include "physics/air.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kReachSeconds = 1.0;
constexpr double kSeaLevelKpa = 101.325;         // [ISO2533]
constexpr std::size_t kEnoughForMedian = 1'000;  // outside air moves slowly; an hour at 100 Hz need not be read whole

std::optional<double> typical(const RunView& run, Signal signal) {
    const Channel* channel = run.find(signal);
    if (!channel) return std::nullopt;
    const std::size_t step = channel->values.size() / kEnoughForMedian + 1;
    std::vector<double> values;
    for (std::size_t i = 0; i < channel->values.size(); i += step)
        if (std::isfinite(channel->values[i])) values.push_back(channel->values[i]);
    if (values.empty()) return std::nullopt;
    return median(std::move(values));
}

}  // namespace

const Channel* RunView::find(ChannelKey key) const {
    const Channel* channel = log().find(key);
    if (!channel || std::ranges::find(distrusted, channel) != distrusted.end()) return nullptr;
    return channel;
}

std::vector<const Channel*> RunView::all(Signal signal) const {
    std::vector<const Channel*> found;
    for (int part = 0; part <= info(signal).parts; ++part)
        if (const Channel* channel = find(ChannelKey{signal, part})) found.push_back(channel);
    return found;
}

std::optional<Ambient> RunView::ambient_temp_c() const {
    if (const auto logged = typical(*this, Signal::ambient_temp_c)) return Ambient{*logged, AmbientSource::logged};
    if (driven.run && driven.run->ambient_temp_c) return Ambient{*driven.run->ambient_temp_c, AmbientSource::stated};
    return std::nullopt;
}

Ambient RunView::ambient_pressure_kpa() const {
    if (const auto logged = typical(*this, Signal::ambient_pressure_kpa)) return {*logged, AmbientSource::logged};
    if (driven.run && driven.run->ambient_pressure_kpa)
        return {*driven.run->ambient_pressure_kpa, AmbientSource::stated};
    const double altitude_m = job ? job->site.altitude_m : 0.0;
    const auto air = standard_atmosphere(GeometricAltitude{{altitude_m}});
    if (altitude_m == 0.0 || !air) return {kSeaLevelKpa, AmbientSource::assumed};
    return {air->pressure.value.si / 1000.0, AmbientSource::altitude};
}

Samples PullView::samples(const Channel& channel, double skip_start, double skip_end) const {
    return samples_within(run->log(), channel, pull.start_s + skip_start, pull.end_s - skip_end);
}

Samples PullView::samples(Signal signal, double skip_start, double skip_end) const {
    const Channel* channel = run->find(signal);
    return channel ? samples(*channel, skip_start, skip_end) : Samples{};
}

Samples PullView::boost(double skip_start) const {
    if (run->find(Signal::boost_pressure_kpa)) return samples(Signal::boost_pressure_kpa, skip_start);
    const Channel* throttle = run->find(Signal::throttle_pct);
    if (!throttle) return {};
    const Samples manifold = samples(Signal::manifold_pressure_kpa, skip_start);
    const std::vector<double> open = values_along(run->log().series(*throttle), manifold.times, kReachSeconds);
    Samples found;
    for (std::size_t i = 0; i < open.size(); ++i) {
        if (!(open[i] >= kOpenThrottlePct)) continue;
        found.times.push_back(manifold.times[i]);
        found.values.push_back(manifold.values[i]);
    }
    return found;
}

double PullView::engine_speed_at(double time_s) const {
    const Channel* speed = run->log().find(Signal::engine_speed_rpm);
    if (!speed) return 0.0;
    const Samples around = samples_within(run->log(), *speed, time_s - kReachSeconds, time_s + kReachSeconds);
    if (around.times.empty()) return 0.0;
    const double at = std::clamp(time_s, around.times.front(), around.times.back());
    return value_at(around.series(), at);
}

}  // namespace revwright
