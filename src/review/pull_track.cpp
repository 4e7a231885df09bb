#include "review/pull_track.h"

#include <cmath>
#include <limits>

#include "review/gear.h"
#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kReachSeconds = 1.0;
constexpr double kSlowReachSeconds = 10.0;  // temperatures move slowly and are logged seldom

std::vector<double> along(const Log& log, Signal signal, std::span<const double> times, double reach) {
    const Channel* channel = log.find(signal);
    if (!channel) return std::vector<double>(times.size(), std::numeric_limits<double>::quiet_NaN());
    return values_along(log.series(*channel), times, reach);
}

void divide(std::vector<double>& over, const std::vector<double>& under) {
    for (std::size_t i = 0; i < over.size(); ++i) over[i] = over[i] / under[i] - 1.0;
}

std::vector<double> wheels_over_ground(const Log& log, std::span<const double> times) {
    std::vector<double> wheels = along(log, Signal::vehicle_speed_km_h, times, kReachSeconds);
    const std::vector<double> ground = along(log, Signal::gnss_speed_km_h, times, kReachSeconds);
    divide(wheels, ground);
    return wheels;
}

}  // namespace

PullTrack pull_track(const Log& log, const Car& car, bool on_road) {
    PullTrack track;
    const Channel* speed = log.find(Signal::engine_speed_rpm);
    const bool pedal = log.find(Signal::pedal_pct) != nullptr;
    if (!speed || (!pedal && !log.find(Signal::throttle_pct))) return track;
    const Log::Span span = log.span();
    Samples samples = samples_within(log, *speed, span.start_s, span.end_s);
    track.times = std::move(samples.times);
    track.speed = median_of_three(samples.values);
    track.pedal =
        median_of_three(along(log, pedal ? Signal::pedal_pct : Signal::throttle_pct, track.times, kReachSeconds));
    track.request = along(log, Signal::torque_request_nm, track.times, kReachSeconds);
    track.oil = along(log, Signal::oil_temp_c, track.times, kSlowReachSeconds);
    track.input = along(log, Signal::gearbox_input_rpm, track.times, kReachSeconds);
    divide(track.input, track.speed);
    track.wheels = on_road ? wheels_over_ground(log, track.times)
                           : std::vector<double>(track.size(), std::numeric_limits<double>::quiet_NaN());
    std::vector<bool> loaded(track.size());
    for (std::size_t i = 0; i < track.size(); ++i) loaded[i] = track.pedal[i] >= kFullPedalPct;
    GearTrack gears = gears_along(log, car, track.times, track.speed, loaded);
    track.gear = std::move(gears.gear);
    track.slip = std::move(gears.slip);
    track.gear_known = gears.known;
    return track;
}

}  // namespace revwright
