#include "model/limits.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <fmt/format.h>

namespace revwright {
namespace {

const Limit* find_default(std::string_view name) {
    const auto limits = default_limits();
    const auto found = std::ranges::find(limits, name, &Limit::name);
    return found == limits.end() ? nullptr : &*found;
}

}  // namespace

std::span<const Limit> default_limits() {
    // Every number here is common practice with no published source, and findings say so.
    static const std::array rows{
        Limit{.name = "lambda_max", .unit = "1", .mend = 0.92, .stop = 0.95},
        Limit{.name = "lambda_follow", .unit = "1", .watch = 0.02, .mend = 0.04},
        Limit{.name = "knock", .unit = "deg", .watch = 1.0, .mend = 3.0, .stop = 6.0},
        Limit{.name = "fuel_pressure_drop_pct", .unit = "%", .mend = 10.0, .stop = 20.0},
        Limit{.name = "injector_duty_pct", .unit = "%", .mend = 85.0, .stop = 95.0},
        Limit{.name = "injection_window_pct", .unit = "%", .mend = 90.0, .stop = 100.0},
        Limit{.name = "exhaust_temp_c", .unit = "C", .mend = 950.0, .stop = 980.0},
        Limit{.name = "boost_overshoot_kpa", .unit = "kPa", .watch = 10.0, .mend = 15.0, .stop = 25.0},
        Limit{.name = "boost_steady_kpa", .unit = "kPa", .watch = 7.0, .mend = 12.0},
        Limit{.name = "boost_oscillation_kpa", .unit = "kPa", .watch = 8.0, .mend = 15.0},
        Limit{.name = "throttle_open_pct", .unit = "%", .mend = 90.0},
        Limit{.name = "intake_temp_c", .unit = "C", .mend = 65.0, .stop = 80.0},
        Limit{.name = "intake_rise_k", .unit = "K", .watch = 30.0},
        Limit{.name = "coolant_temp_c", .unit = "C", .mend = 110.0, .stop = 118.0},
        Limit{.name = "oil_temp_c", .unit = "C", .mend = 130.0, .stop = 140.0},
        Limit{.name = "compressor_speed_pct", .unit = "%", .mend = 95.0, .stop = 100.0},
        Limit{.name = "compressor_surge_margin_pct", .unit = "%", .watch = 15.0, .mend = 10.0},
        Limit{.name = "compressor_choke_pct", .unit = "%", .watch = 95.0, .mend = 100.0},
        Limit{.name = "battery_v", .unit = "V", .watch = 12.5},
        Limit{.name = "fuel_trim_pct", .unit = "%", .watch = 8.0, .mend = 12.0, .stop = 15.0},
        Limit{.name = "air_consistency_pct", .unit = "%", .watch = 6.0, .mend = 10.0},
        Limit{.name = "sensor_range_pct", .unit = "%", .watch = 97.0},
        Limit{.name = "wastegate_duty_pct", .unit = "%", .watch = 95.0},
        Limit{.name = "torque_intervention", .unit = "Nm", .watch = 0.0},
        Limit{.name = "gear_slip_rpm", .unit = "rpm", .mend = 50.0},
        Limit{.name = "shift_time_s", .unit = "s"},
        Limit{.name = "torque_capacity_pct", .unit = "%", .watch = 92.0, .mend = 100.0, .stop = 122.0},
        Limit{.name = "misfire_pct", .unit = "%", .mend = 1.0, .stop = 2.0},
        Limit{.name = "cold_start_lambda_max", .unit = "1", .watch = 1.15},
        Limit{.name = "cold_start_lambda_min", .unit = "1", .watch = 0.75},
        Limit{.name = "tyre_speed_pct", .unit = "%", .mend = 100.0, .stop = 105.0},
    };
    return rows;
}

double lambda_max_default(bool turbocharged) { return turbocharged ? 0.90 : 0.95; }

Limits::Limits(bool turbocharged) {
    for (const Limit& limit : default_limits()) limits_.emplace(limit.name, limit);
    // mend and stop stand 0.02 and 0.05 above the floor of the aspiration.
    Limit& lambda = limits_.find("lambda_max")->second;
    const double floor = lambda_max_default(turbocharged);
    lambda.mend = floor + 0.02;
    lambda.stop = floor + 0.05;
    lambda.watch = floor;
}

void Limits::override_with(std::string_view name, const LimitOverride& change) {
    const auto found = limits_.find(name);
    assert(found != limits_.end());
    Limit& limit = found->second;
    // lambda_max names the leanest mixture allowed, which is its first threshold; elsewhere `mend` is what the key
    // names.
    std::optional<double>& first = name == "lambda_max" || !limit.mend ? limit.watch : limit.mend;
    if (!first) first = change.value;
    const double shift = change.value - *first;
    for (std::optional<double>* step : {&limit.watch, &limit.mend, &limit.stop})
        if (*step) **step += shift;
    limit.source = fmt::format("job sheet: {}", change.reason);
}

const Limit& Limits::at(std::string_view name) const {
    const auto found = limits_.find(name);
    assert(found != limits_.end());
    return found->second;
}

bool Limits::known(std::string_view name) { return find_default(name) != nullptr; }

}  // namespace revwright
