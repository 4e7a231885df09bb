#include "naming/claims.h"

#include <algorithm>
#include <fmt/format.h>
#include <string_view>

namespace revwright {
namespace {

constexpr std::string_view kGauge = " gauge";

/// The log's own unit, which may say that a pressure is gauge.
void take_unit_of(const Channel& channel, Claim& claim) {
    claim.unit = channel.unit_in_log;
    if (!claim.unit.ends_with(kGauge)) return;
    claim.unit.resize(claim.unit.size() - kGauge.size());
    claim.gauge = true;
}

/// What a row of a sheet says of one channel.
Claim claim_of(const ChannelRule& rule, const Channel& channel, std::size_t index) {
    Claim claim{.channel = index,
                .key = rule.is,
                .unit = rule.unit,
                .gauge = rule.gauge,
                .sign = rule.sign,
                .before_turbine = rule.before_turbine,
                .where = rule.where,
                .air_fuel_stoichiometric = rule.air_fuel_stoichiometric};
    if (rule.unit.empty()) {
        take_unit_of(channel, claim);
        claim.gauge = claim.gauge || rule.gauge;
    }
    return claim;
}

void add_sheet(Log& log, const ChannelSheet& sheet, UserClaims& user) {
    for (const ChannelRule& rule : sheet.channels) {
        bool found = false;
        for (std::size_t i = 0; i < log.channels.size(); ++i) {
            if (!is_named(log.channels[i], rule.name)) continue;
            found = true;
            if (log.channels[i].repeated) continue;
            if (!log.channels[i].texts.empty() && !rule.none_of_ours)
                log.lost.push_back(fmt::format("the channel sheet names {} as {}, but it holds words, not numbers",
                                               rule.name, to_string(rule.is)));
            else if (rule.none_of_ours)
                user.none_of_ours.push_back(i);
            else
                user.claims.push_back(claim_of(rule, log.channels[i], i));
        }
        const bool is_time = rule.is.signal == Signal::time_s;  // the log's clock, no longer a channel
        if (!found && !is_time && !rule.optional && !rule.none_of_ours)
            log.lost.push_back(fmt::format("the channel sheet names {} as {}, which is not in the log", rule.name,
                                           to_string(rule.is)));
    }
}

void add_canonical_names(const Log& log, UserClaims& user) {
    std::vector<Claim>& claims = user.claims;
    for (std::size_t i = 0; i < log.channels.size(); ++i) {
        const auto key = channel_key(log.channels[i].name);
        const bool taken = std::ranges::find(claims, i, &Claim::channel) != claims.end() ||
                           std::ranges::count(user.none_of_ours, i) > 0;
        if (!key || key->signal == Signal::time_s || taken || !may_be_ours(log.channels[i])) continue;
        Claim claim{.channel = i, .key = *key, .where = Place{log.file}};
        take_unit_of(log.channels[i], claim);
        claims.push_back(std::move(claim));
    }
}

bool is_pressure(std::string_view unit) { return conversion(unit, "kPa").has_value(); }
bool is_lambda(Signal signal) { return signal == Signal::lambda || signal == Signal::lambda_target; }
bool is_trim(Signal signal) { return signal == Signal::trim_short_pct || signal == Signal::trim_long_pct; }

/// Units that are no unit of the table; nothing where this is none of them.
std::optional<UnitConversion> special_conversion(const Claim& claim) {
    const double stoichiometric = claim.air_fuel_stoichiometric;
    if (is_lambda(claim.key.signal) && claim.unit == kAirFuelRatio && stoichiometric > 0.0)
        return UnitConversion{0.0, 1.0, stoichiometric, 0.0};
    if (is_lambda(claim.key.signal) && claim.unit == kEquivalence) return UnitConversion{};
    if (is_trim(claim.key.signal) && claim.unit == kFactorAboutOne) return UnitConversion{1.0, 100.0, 1.0, 0.0};
    if (is_trim(claim.key.signal) && claim.unit == kPercentAboutHundred) return UnitConversion{100.0, 1.0, 1.0, 0.0};
    return std::nullopt;
}

}  // namespace

bool may_be_ours(const Channel& channel) { return channel.texts.empty() && !channel.repeated; }

bool is_named(const Channel& channel, std::string_view name) {
    if (!name.starts_with(channel.name)) return false;
    return channel.name == name || fmt::format("{} [{}]", channel.name, channel.unit_in_log) == name ||
           fmt::format("{} ({})", channel.name, channel.unit_in_log) == name;
}

Result<void> settle_unit(Claim& claim, const std::string& channel_name) {
    const std::string_view canonical = info(claim.key.signal).unit;
    const std::string_view from = claim.unit.empty() ? canonical : std::string_view(claim.unit);
    if (claim.gauge && !is_pressure(canonical))
        return refuse(fmt::format("channel {}: only a pressure can be gauge, found {} in \"{} gauge\"", channel_name,
                                  to_string(claim.key), from),
                      claim.where);
    if (claim.gauge && claim.key.signal == Signal::ambient_pressure_kpa)
        return refuse(
            fmt::format("channel {}: the ambient pressure must be absolute, found \"{} gauge\"", channel_name, from),
            claim.where);
    const auto special = special_conversion(claim);
    const auto to_ours = special ? special : conversion(from, canonical);
    if (!to_ours)
        return refuse(fmt::format("channel {}: expected a unit that converts to {} for {}, found \"{}\"", channel_name,
                                  canonical, to_string(claim.key), claim.unit),
                      claim.where);
    claim.to_ours = *to_ours;
    claim.reciprocal = special && claim.unit == kEquivalence;
    return {};
}

Result<UserClaims> settle_claims(Log& log, const ChannelSheet* sheet) {
    UserClaims user;
    if (sheet != nullptr) add_sheet(log, *sheet, user);
    add_canonical_names(log, user);
    const std::vector<Claim>& claims = user.claims;
    for (std::size_t i = 0; i < claims.size(); ++i)
        for (std::size_t j = 0; j < i; ++j) {
            if (claims[i].channel == claims[j].channel)
                return refuse(fmt::format("expected one meaning for the channel {}, found {} and {}",
                                          log.channels[claims[i].channel].name, to_string(claims[j].key),
                                          to_string(claims[i].key)),
                              claims[i].where);
            if (claims[i].key == claims[j].key)
                return refuse(
                    fmt::format("expected one channel for {}, found {} (channel {}) and {} (channel {})",
                                to_string(claims[i].key), log.channels[claims[j].channel].name, claims[j].channel + 1,
                                log.channels[claims[i].channel].name, claims[i].channel + 1),
                    claims[i].where);
        }
    return user;
}

}  // namespace revwright
