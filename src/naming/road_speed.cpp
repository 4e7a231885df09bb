#include "naming/road_speed.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

// Our choice, common practice, no source.
constexpr double kSlowest_km_h = 20.0, kSlowestRpm = 1200.0;
constexpr double kRatioBand = 0.05;  // tyre wear and speedometer lead
constexpr double kMostInGear = 0.6;  // of the samples above these speeds
constexpr std::size_t kFewestSamples = 20;

/// Share of the drive in which engine over road speed is one of the car's ratios.
double share_in_gear(const Channel& speed, const Claim& as, const Channel& engine, const Claim& engine_claim,
                     const NamingScene& scene) {
    const Series over_time = scene.log->series(engine);
    const Series road = scene.log->series(speed);
    std::size_t moving = 0, in_gear = 0;
    for (std::size_t i = 0; i < road.size(); ++i) {
        const double km_h = as.in_our_unit(road.values[i]);
        const double rpm = engine_claim.in_our_unit(value_at(over_time, road.times[i]));
        if (!(km_h >= kSlowest_km_h) || !(rpm >= kSlowestRpm)) continue;
        ++moving;
        in_gear += std::ranges::any_of(scene.hints->rpm_per_km_h,
                                       [&](double ratio) { return std::abs(rpm / km_h / ratio - 1.0) <= kRatioBand; });
    }
    return moving < kFewestSamples ? 0.0 : static_cast<double>(in_gear) / static_cast<double>(moving);
}

}  // namespace

void tell_by_gear_ratios(const Channel& speed, const NamingScene& scene, std::vector<Reading>& readings) {
    const auto engine = std::ranges::find(*scene.claims, ChannelKey{Signal::engine_speed_rpm, 0}, &Claim::key);
    if (scene.hints->rpm_per_km_h.empty() || engine == scene.claims->end()) return;
    std::vector<bool> fits;
    for (const Reading& reading : readings)
        fits.push_back(share_in_gear(speed, reading.claim, scene.log->channels[engine->channel], *engine, scene) >=
                       kMostInGear);
    if (std::ranges::count(fits, true) != 1) return;
    for (std::size_t i = 0; i < readings.size(); ++i) readings[i].typical = readings[i].typical && fits[i];
}

}  // namespace revwright
