#pragma once

#include <optional>
#include <vector>

#include "model/job.h"
#include "model/log.h"

namespace revwright {

/// From here on manifold pressure stands in for the sensor before the throttle. Our choice: the throttle_open limit.
inline constexpr double kOpenThrottlePct = 90.0;

/// Samples of a canonical channel, logged or derived, in its own storage and without gaps (no NaN).
struct Samples {
    std::vector<double> times, values;
    Series series() const { return {times, values}; }
};

/// The samples of `key`. Where it is not logged it is derived, if the contract allows:
///   charge_pct, air_per_stroke_mg   from air mass flow and engine speed, or from each other
///   boost_pressure_kpa              manifold pressure, only while the throttle is open (>= 90 %)
///   air_mass_flow_g_s               from charge or air per stroke and engine speed
/// Nothing where it can not be had.
std::optional<Samples> samples_of(const Log& log, const Engine& engine, ChannelKey key);

}  // namespace revwright
