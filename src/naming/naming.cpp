#include "naming/naming.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <string>
#include <utility>
#include <vector>

#include "core/unit.h"
#include "naming/ambient.h"
#include "naming/claims.h"
#include "naming/repeated.h"
#include "naming/settle.h"

namespace revwright {
namespace {

constexpr double kStandardKpa = 101.325;  // ISO 2533, standard atmosphere at sea level

/// Brings the samples to the canonical unit; a gauge pressure stays gauge.
void convert(Channel& channel, const Claim& claim) {
    if (!claim.to_ours.is_identity() || claim.sign != 1.0 || claim.reciprocal)
        for (double& value : channel.values) value = claim.in_our_unit(value);
    channel.key = claim.key;
    channel.unit = info(claim.key.signal).unit;
    channel.before_turbine = claim.before_turbine;
    channel.candidates.clear();
    channel.read_as =
        ChannelRule{.name = channel.name,
                    .is = claim.key,
                    .unit = claim.unit,
                    .gauge = claim.gauge,
                    .sign = claim.sign,
                    .before_turbine = claim.before_turbine,
                    .air_fuel_stoichiometric = claim.unit == kAirFuelRatio ? claim.air_fuel_stoichiometric : 0.0};
}

/// Many control units store retard as a negative correction of the spark; ours is never negative.
void turn_retard_round(Channel& retard) {
    std::vector<double> moved;
    std::ranges::copy_if(retard.values, std::back_inserter(moved), [](double v) { return !std::isnan(v) && v != 0.0; });
    if (moved.empty()) return;
    const auto middle = moved.begin() + std::ssize(moved) / 2;
    std::ranges::nth_element(moved, middle);
    if (*middle >= 0.0) return;
    for (double& value : retard.values) value = value == 0.0 ? 0.0 : -value;
}

/// An absolute pressure cannot be below zero: the sensor, or what was said of it, is wrong.
void note_negative_pressure(Log& log, Channel& channel) {
    if (!channel.unit.ends_with("Pa")) return;
    const auto& times = log.time_bases[channel.time_base].seconds;
    std::size_t below = 0, first = 0, last = 0;
    for (std::size_t i = 0; i < channel.values.size(); ++i) {
        if (!(channel.values[i] < 0.0)) continue;
        if (below++ == 0) first = i;
        last = i;
    }
    if (below == 0) return;
    channel.quality.emplace_back("negative-pressure");
    log.quality.push_back(
        {"negative-pressure", times[first], times[last],
         fmt::format("channel {} as {} is below zero in {} of {} samples, though an absolute pressure "
                     "cannot be: it may be gauge, or its sensor is at fault",
                     channel.name, to_string(*channel.key), below, channel.values.size())});
}

std::string ambient_text(const NamingHints& hints) {
    if (!hints.ambient_pressure_kpa) return "101.325 kPa assumed";
    return fmt::format("{:.1f} kPa taken, as {}", *hints.ambient_pressure_kpa, hints.ambient_source);
}

/// Samples of all claims into our units, signs and reference.
void apply(Log& log, const std::vector<Claim>& claims, const NamingHints& hints) {
    for (const Claim& claim : claims) convert(log.channels[claim.channel], claim);
    // after conversion: the ambient pressure may itself have been in another unit
    const AmbientPressure ambient(log, hints.ambient_pressure_kpa.value_or(kStandardKpa));
    for (const Claim& claim : claims) {
        Channel& channel = log.channels[claim.channel];
        if (claim.gauge) {
            ambient.add_to(channel, log.time_bases[channel.time_base]);
            if (!ambient.is_logged())
                log.lost.push_back(fmt::format("channel {} is gauge: ambient pressure not logged, {}", channel.name,
                                               ambient_text(hints)));
        }
        if (claim.key.signal == Signal::knock_retard_deg) turn_retard_round(channel);
        note_negative_pressure(log, channel);
    }
}

}  // namespace

Result<Log> name_channels(Log log, const ChannelSheet* sheet, const NamingHints& hints) {
    mark_repeated(log);
    auto settled = settle_claims(log, sheet);
    if (!settled) return tl::unexpected(settled.error());
    for (Claim& claim : settled->claims) {
        if (claim.air_fuel_stoichiometric == 0.0)
            claim.air_fuel_stoichiometric = hints.air_fuel_stoichiometric.value_or(0.0);
        if (const auto known = settle_unit(claim, log.channels[claim.channel].name); !known)
            return tl::unexpected(known.error());
    }
    settle_by_words(log, hints, hints.ambient_pressure_kpa.value_or(kStandardKpa), *settled);
    apply(log, settled->claims, hints);
    say_repeated(log);
    return log;
}

}  // namespace revwright
