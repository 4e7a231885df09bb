#include "review/limiter_cause.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <optional>

#include "review/intervention.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kAtLimitShare = 0.97;  // of a limit table: it binds; the control unit's own filters take the rest
constexpr double kAtThrottlePct = 2.0;  // from the throttle limit
constexpr double kAtRoadKmH = 3.0;      // below the vehicle speed limit
constexpr double kBeforeSeconds = 0.5;  // what led to the closing may have been just before
constexpr double kReachSeconds = 1.0;

/// The highest or lowest value of a channel over the time, single wild samples left out.
std::optional<double> extreme(const PullView& view, Signal signal, double from, double to, bool highest) {
    const Channel* channel = view.run->find(signal);
    if (!channel) return std::nullopt;
    const std::vector<double> calm = median_of_three(samples_within(view.run->log(), *channel, from, to).values);
    if (calm.empty()) return std::nullopt;
    return highest ? std::ranges::max(calm) : std::ranges::min(calm);
}

std::optional<double> mean_within(const Samples& samples, double from, double to) {
    double sum = 0.0;
    std::size_t count = 0;
    for (std::size_t i = 0; i < samples.times.size(); ++i)
        if (samples.times[i] >= from && samples.times[i] <= to) sum += samples.values[i], ++count;
    if (count == 0) return std::nullopt;
    return sum / static_cast<double>(count);
}

/// Mean of a quantity, logged or derived, over the time.
std::optional<double> mean_of(const PullView& view, ChannelKey key, double from, double to) {
    const auto samples = samples_of(view.run->log(), view.job().engine, key);
    return samples ? mean_within(*samples, from, to) : std::nullopt;
}

/// A limit table, read at the mean operating point of the time.
struct ReadLimit {
    std::string table;
    ChannelKey quantity;
    double value = 0.0;
};

std::optional<ReadLimit> read_limit(const PullView& view, const Table& table, double from, double to) {
    std::vector<double> at;
    for (const Axis& axis : table.axes) {
        const auto x = mean_of(view, axis.quantity(), from, to);
        if (!x) return std::nullopt;
        at.push_back(*x);
    }
    if (table.values.empty()) return std::nullopt;
    return ReadLimit{table.name(), table.description.quantity, value_at(table, at)};
}

/// All tables of a role that can be read here.
std::vector<ReadLimit> limits_of(const PullView& view, Role role, double from, double to) {
    std::vector<ReadLimit> limits;
    const TableSet* tables = view.run->driven.tables;
    if (!tables || !view.job().image) return limits;
    const auto entry = view.job().image->roles.find(role);
    if (entry == view.job().image->roles.end()) return limits;
    for (const RoleTable& named : entry->second)
        if (const Table* table = tables->find(named.table))
            if (auto limit = read_limit(view, *table, from, to)) limits.push_back(std::move(*limit));
    return limits;
}

using Looked = std::optional<LimiterCause>;

/// What a limit table bounds, in words, and how near the quantity must come for the limit to bind.
struct Bounded {
    Role role;
    Signal signal;
    std::string_view what;
    double slack_share, slack;
    std::vector<std::string> levers;
};

Looked at_table(const PullView& view, double from, double to, const Bounded& bounded) {
    for (const ReadLimit& limit : limits_of(view, bounded.role, from, to)) {
        if (limit.quantity.signal != bounded.signal) continue;
        const auto value = mean_of(view, limit.quantity, from, to);
        if (!value || *value < limit.value * (1.0 - bounded.slack_share) - bounded.slack) continue;
        return LimiterCause{fmt::format("{} stands at {:.0f} {}, its limit in {} is {:.0f} here", bounded.what, *value,
                                        info(bounded.signal).unit, limit.table, limit.value),
                            bounded.levers, true};
    }
    return std::nullopt;
}

Looked at_limit_tables(const PullView& view, double from, double to) {
    const double share = 1.0 - kAtLimitShare;
    const std::array rows{
        Bounded{
            Role::torque_limit, Signal::torque_nm, "modelled torque", share, 0.0, {"torque_limit", "torque_to_charge"}},
        Bounded{Role::charge_limit, Signal::charge_pct, "charge", share, 0.0, {"charge_limit"}},
        Bounded{Role::charge_limit, Signal::air_per_stroke_mg, "air per stroke", share, 0.0, {"charge_limit"}},
        Bounded{Role::throttle_limit, Signal::throttle_pct, "the throttle", 0.0, kAtThrottlePct, {"throttle_limit"}},
        Bounded{Role::speed_limit, Signal::vehicle_speed_km_h, "road speed", 0.0, kAtRoadKmH, {"speed_limit"}},
        Bounded{Role::torque_limit, Signal::torque_request_nm, "the torque request", 0.01, 0.0, {"torque_limit"}},
    };
    for (const Bounded& row : rows)
        if (auto cause = at_table(view, from, to, row)) return cause;
    return std::nullopt;
}

Looked request_fell(const PullView& view, double from, double to) {
    for (const RequestFall& fall : request_falls(view)) {
        if (fall.from_s > to || fall.to_s < from - kBeforeSeconds) continue;
        return LimiterCause{
            fmt::format("the torque request fell from {:.0f} to {:.0f} Nm here, {}", fall.before_nm, fall.lowest_nm,
                        fall.given_back ? "and was given back: another control unit intervened"
                                        : "and stayed there: a torque limit binds"),
            {"torque_limit"},
            true};
    }
    return std::nullopt;
}

Looked boost_over_target(const PullView& view, double from) {
    const Channel* target = view.run->find(Signal::boost_target_kpa);
    const Channel* boost = view.run->find(Signal::boost_pressure_kpa);
    const double over = view.job().limits.at("boost_overshoot_kpa").watch.value_or(10.0);
    if (!target || !boost) return std::nullopt;
    const Samples before = samples_within(view.run->log(), *boost, from - kBeforeSeconds, from + 0.1);
    const std::vector<double> wanted = values_along(view.run->log().series(*target), before.times, kReachSeconds);
    const std::vector<double> calm = median_of_three(before.values);
    double worst = -INFINITY;
    for (std::size_t i = 0; i < calm.size(); ++i) worst = std::max(worst, calm[i] - wanted[i]);
    if (!(worst >= over)) return std::nullopt;
    return LimiterCause{
        fmt::format("boost was {:.0f} kPa over its target just before: the throttle catches what the wastegate lets by",
                    worst),
        {"wastegate_duty", "charge_limit"},
        true};
}

Looked too_hot(const PullView& view, double from, double to) {
    const std::array hot{std::tuple{Signal::intake_temp_c, "intake_temp_c", "intake air"},
                         std::tuple{Signal::coolant_temp_c, "coolant_temp_c", "coolant"}};
    for (const auto& [signal, limit, what] : hot) {
        const auto value = extreme(view, signal, from, to, true);
        const auto mend = view.job().limits.at(limit).mend;
        if (value && mend && *value >= *mend)
            return LimiterCause{fmt::format("{} is at {:.0f} C: protection against heat", what, *value),
                                {"hardware", "torque_limit"},
                                true};
    }
    return std::nullopt;
}

/// Channels that would have told, of those that were looked at.
LimiterCause not_shown(const PullView& view) {
    std::vector<std::string> missing;
    for (const Signal signal :
         {Signal::torque_request_nm, Signal::torque_nm, Signal::boost_target_kpa, Signal::vehicle_speed_km_h})
        if (!view.run->find(signal)) missing.emplace_back(info(signal).name);
    if (!samples_of(view.run->log(), view.job().engine, {Signal::charge_pct})) missing.emplace_back("charge_pct");
    std::string words = "the log does not show which limiter closed it";
    if (!missing.empty())
        words += fmt::format("; {} would tell", fmt::join(missing, ", "));
    else if (!view.run->driven.tables)
        words += "; a [[run]] that ties it to its image would hold it against the limit tables";
    else
        words += ": torque, charge and boost stand below the limits of the image";
    return {words, {}, false};
}

}  // namespace

LimiterCause limiter_cause(const PullView& view, double from_s, double to_s) {
    if (auto cause = request_fell(view, from_s, to_s)) return *cause;
    if (auto cause = at_limit_tables(view, from_s, to_s)) return *cause;
    if (auto cause = boost_over_target(view, from_s)) return *cause;
    if (auto cause = too_hot(view, from_s, to_s)) return *cause;
    return not_shown(view);
}

}  // namespace revwright
