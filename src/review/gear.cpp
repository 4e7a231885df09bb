#include "review/gear.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "physics/vehicle.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kReachSeconds = 1.0;
constexpr double kGearReachSeconds = 3.0;  // a logger may send the gear seldom
/// Slower than this the ratio says little: clutch and converter slip, road speed is coarse.
constexpr double kLeastRoadKmH = 10.0;
/// Farther from every gear than this says nothing about tyre or speedometer. Less than half the step between gears.
constexpr double kScaleReach = 0.08;
constexpr double kFrozenSeconds = 0.9;
constexpr double kFrozenShare = 0.1;  // of engine speed, gained meanwhile

struct Ratios {
    std::vector<int> nearest;   // gear by ratio, 0 = no road speed
    std::vector<double> error;  // against that gear
};

Ratios ratios_along(const Car& car, std::span<const double> speed, std::span<const double> road) {
    Ratios found{std::vector<int>(speed.size(), 0), std::vector<double>(speed.size(), kNone)};
    for (std::size_t i = 0; i < speed.size(); ++i) {
        if (!(road[i] > kLeastRoadKmH) || !(speed[i] > 0.0)) continue;
        const auto match = nearest_gear(EngineSpeed{speed[i]}, kilometres_per_hour(road[i]), car.gear_ratios,
                                        car.final_drive, Length{car.rolling_circumference_m});
        if (!match) continue;
        found.nearest[i] = match->gear;
        found.error[i] = match->relative_error;
    }
    return found;
}

/// Measured over nominal ratio, as tyre wear and speedometer make it for the whole log.
double common_scale(const Ratios& ratios, const std::vector<bool>& loaded) {
    std::vector<double> scales;
    for (std::size_t i = 0; i < loaded.size(); ++i)
        if (loaded[i] && std::abs(ratios.error[i]) < kScaleReach) scales.push_back(1.0 + ratios.error[i]);
    return scales.empty() ? 1.0 : median(std::move(scales));
}

/// Slip against the gear that the log names, each gear scaled by its own median.
void slip_in_named_gear(GearTrack& track, const Car& car, std::span<const double> speed, std::span<const double> road,
                        const std::vector<bool>& loaded) {
    const Length around{car.rolling_circumference_m};
    std::map<int, std::vector<double>> by_gear;
    for (std::size_t i = 0; i < speed.size(); ++i) {
        const int gear = track.gear[i];
        if (gear < 1 || gear > static_cast<int>(car.gear_ratios.size()) || !(road[i] > kLeastRoadKmH)) continue;
        const double nominal = car.gear_ratios[static_cast<std::size_t>(gear) - 1] * car.final_drive;
        track.slip[i] = overall_ratio(EngineSpeed{speed[i]}, kilometres_per_hour(road[i]), around) / nominal;
        if (loaded[i]) by_gear[gear].push_back(track.slip[i]);
    }
    std::map<int, double> scale;
    for (auto& [gear, values] : by_gear) scale[gear] = median(std::move(values));
    for (std::size_t i = 0; i < speed.size(); ++i) {
        if (std::isnan(track.slip[i])) continue;
        const auto found = scale.find(track.gear[i]);
        track.slip[i] = found == scale.end() ? kNone : track.slip[i] / found->second - 1.0;
    }
}

/// A road speed that stands still while the engine gains speed is a dead sensor, or logged too seldom: it tells no
/// slip.
void forget_frozen(std::vector<double>& road, std::span<const double> times, std::span<const double> speed) {
    for (std::size_t first = 0, i = 1; i <= road.size(); ++i) {
        if (i < road.size() && road[i] == road[first]) continue;
        const bool frozen = times[i - 1] - times[first] >= kFrozenSeconds &&
                            std::abs(speed[i - 1] - speed[first]) > kFrozenShare * speed[first];
        if (frozen)
            std::fill(road.begin() + static_cast<std::ptrdiff_t>(first), road.begin() + static_cast<std::ptrdiff_t>(i),
                      kNone);
        first = i;
    }
}

std::vector<double> road_speed_along(const Log& log, std::span<const double> times, std::span<const double> speed) {
    for (const Signal signal : {Signal::vehicle_speed_km_h, Signal::gnss_speed_km_h}) {
        const Channel* channel = log.find(signal);
        if (!channel) continue;
        std::vector<double> road = values_along(log.series(*channel), times, kReachSeconds);
        forget_frozen(road, times, speed);
        const auto moves = [](double kmh) { return kmh > kLeastRoadKmH; };
        if (std::ranges::any_of(road, moves)) return road;
    }
    return {};
}

}  // namespace

GearTrack gears_along(const Log& log, const Car& car, std::span<const double> times, std::span<const double> speed,
                      const std::vector<bool>& loaded) {
    GearTrack track{std::vector<int>(times.size(), 0), std::vector<double>(times.size(), kNone)};
    const std::vector<double> road = road_speed_along(log, times, speed);
    if (const Channel* channel = log.find(Signal::gear)) {
        const std::vector<double> named = held_along(log.series(*channel), times, kGearReachSeconds);
        for (std::size_t i = 0; i < times.size(); ++i)
            if (named[i] >= 0.5) track.gear[i] = static_cast<int>(std::lround(named[i]));
        track.known = true;
        if (!road.empty()) slip_in_named_gear(track, car, speed, road, loaded);
        return track;
    }
    if (road.empty()) return track;
    track.known = true;
    const Ratios ratios = ratios_along(car, speed, road);
    const double scale = common_scale(ratios, loaded);
    for (std::size_t i = 0; i < times.size(); ++i) {
        if (ratios.nearest[i] == 0) continue;
        track.slip[i] = (1.0 + ratios.error[i]) / scale - 1.0;
        if (std::abs(track.slip[i]) <= kGearTolerance) track.gear[i] = ratios.nearest[i];
    }
    return track;
}

}  // namespace revwright
