#include "naming/naming.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <utility>
#include <vector>

#include "core/unit.h"
#include "naming/ambient.h"
#include "naming/claims.h"

namespace revwright {
namespace {

bool is_pressure(std::string_view unit) { return conversion(unit, "kPa").has_value(); }

/// Brings the samples to the canonical unit; a gauge pressure stays gauge.
Result<bool> convert(Channel& channel, const Claim& claim) {
    const std::string_view canonical = info(claim.key.signal).unit;
    const std::string_view from = claim.unit.empty() ? canonical : std::string_view(claim.unit);
    const auto to_ours = conversion(from, canonical);
    if (!to_ours)
        return refuse(fmt::format("channel {}: expected a unit that converts to {} for {}, found \"{}\"", channel.name,
                                  canonical, to_string(claim.key), claim.unit),
                      claim.where);
    if (claim.gauge && !is_pressure(canonical))
        return refuse(fmt::format("channel {}: only a pressure can be gauge, found {} in \"{} gauge\"", channel.name,
                                  to_string(claim.key), from),
                      claim.where);
    if (claim.gauge && claim.key.signal == Signal::ambient_pressure_kpa)
        return refuse(
            fmt::format("channel {}: the ambient pressure must be absolute, found \"{} gauge\"", channel.name, from),
            claim.where);
    if (!to_ours->is_identity() || claim.sign != 1.0)
        for (double& value : channel.values) value = claim.sign * (*to_ours)(value);
    channel.key = claim.key;
    channel.unit = canonical;
    channel.before_turbine = claim.before_turbine;
    return true;
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

}  // namespace

Result<Log> name_channels(Log log, const ChannelSheet* sheet) {
    const auto claims = settle_claims(log, sheet);
    if (!claims) return tl::unexpected(claims.error());
    for (const Claim& claim : *claims)
        if (const auto done = convert(log.channels[claim.channel], claim); !done) return tl::unexpected(done.error());

    const AmbientPressure ambient(log);  // after conversion: it may itself have been in another unit
    bool assumed = false;
    for (const Claim& claim : *claims) {
        Channel& channel = log.channels[claim.channel];
        if (claim.gauge) {
            ambient.add_to(channel, log.time_bases[channel.time_base]);
            assumed = assumed || !ambient.is_logged();
        }
        if (claim.key.signal == Signal::knock_retard_deg) turn_retard_round(channel);
    }
    for (const Claim& claim : *claims)
        if (assumed && claim.gauge)
            log.lost.push_back(fmt::format("channel {} is gauge: ambient pressure not logged, 101.325 kPa assumed",
                                           log.channels[claim.channel].name));
    return log;
}

}  // namespace revwright
