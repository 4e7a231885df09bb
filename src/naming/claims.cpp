#include "naming/claims.h"

#include <algorithm>
#include <fmt/format.h>
#include <string_view>

namespace revwright {
namespace {

constexpr std::string_view kGauge = " gauge";

/// A sheet may name a channel with the unit that its header shows, or without.
bool is_named(const Channel& channel, std::string_view name) {
    if (!name.starts_with(channel.name)) return false;
    return channel.name == name || fmt::format("{} [{}]", channel.name, channel.unit_in_log) == name ||
           fmt::format("{} ({})", channel.name, channel.unit_in_log) == name;
}

/// The log's own unit, which may say that a pressure is gauge.
void take_unit_of(const Channel& channel, Claim& claim) {
    claim.unit = channel.unit_in_log;
    if (!claim.unit.ends_with(kGauge)) return;
    claim.unit.resize(claim.unit.size() - kGauge.size());
    claim.gauge = true;
}

std::vector<Claim> claims_of_sheet(Log& log, const ChannelSheet& sheet) {
    std::vector<Claim> claims;
    for (const ChannelRule& rule : sheet.channels) {
        bool found = false;
        for (std::size_t i = 0; i < log.channels.size(); ++i) {
            if (!is_named(log.channels[i], rule.name)) continue;
            found = true;
            Claim claim{i, rule.is, rule.unit, rule.gauge, rule.sign, rule.before_turbine, rule.where};
            if (rule.unit.empty()) {
                take_unit_of(log.channels[i], claim);
                claim.gauge = claim.gauge || rule.gauge;
            }
            claims.push_back(std::move(claim));
        }
        if (!found && rule.is.signal != Signal::time_s)  // the time is the log's clock, no longer a channel
            log.lost.push_back(fmt::format("the channel sheet names {} as {}, which is not in the log", rule.name,
                                           to_string(rule.is)));
    }
    return claims;
}

void add_canonical_names(const Log& log, std::vector<Claim>& claims) {
    for (std::size_t i = 0; i < log.channels.size(); ++i) {
        const auto key = channel_key(log.channels[i].name);
        const bool taken = std::ranges::find(claims, i, &Claim::channel) != claims.end();
        if (!key || key->signal == Signal::time_s || taken) continue;
        Claim claim{.channel = i, .key = *key, .where = Place{log.file}};
        take_unit_of(log.channels[i], claim);
        claims.push_back(std::move(claim));
    }
}

}  // namespace

Result<std::vector<Claim>> settle_claims(Log& log, const ChannelSheet* sheet) {
    std::vector<Claim> claims;
    if (sheet != nullptr) claims = claims_of_sheet(log, *sheet);
    add_canonical_names(log, claims);
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
    return claims;
}

}  // namespace revwright
