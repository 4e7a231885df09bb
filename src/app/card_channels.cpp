#include <algorithm>
#include <array>

#include "app/card_parts.h"
#include "review/channel_faults.h"
#include "review/checks.h"

namespace revwright::app {
namespace {

constexpr double kUnaskedHz = 1.0;  // of a channel whose rate no check asks for

/// What no check needs by itself, but a finding, the evidence of a cell or the power estimate is better for.
struct Further {
    std::vector<Signal> signals;
    std::string_view use;
    bool required = false;
};

std::vector<Further> further_channels() {
    using enum Signal;
    return {{{rail_pressure_target_mpa}, "fuel-pressure", true},
            {{spark_deg}, "evidence per cell"},
            {{spark_base_deg}, "image-mismatch"},
            {{vehicle_speed_km_h, gear}, "gear, power"},
            {{air_mass_flow_g_s, charge_pct, air_per_stroke_mg}, "evidence per cell"}};
}

/// "rail_pressure_mpa" -> "rail pressure": the name without its unit, but where the trade says it otherwise.
std::string spoken(Signal signal) {
    switch (signal) {
        case Signal::knock_retard_deg:
            return "knock retard, each cylinder";
        case Signal::fuel_pressure_low_kpa:
            return "low fuel pressure";
        case Signal::spark_base_deg:
            return "base spark";
        case Signal::trim_short_pct:
            return "short trim";
        case Signal::trim_long_pct:
            return "long trim";
        case Signal::battery_v:
            return "battery voltage";
        default:
            break;
    }
    constexpr std::array<std::string_view, 14> kUnits{"_rpm", "_pct", "_kpa", "_mpa", "_deg", "_km_h", "_g_s",
                                                      "_mg",  "_ms",  "_nm",  "_c",   "_v",   "_s",    "_m"};
    std::string name(info(signal).name);
    for (const std::string_view unit : kUnits)
        if (name.ends_with(unit)) {
            name.resize(name.size() - unit.size());
            break;
        }
    std::ranges::replace(name, '_', ' ');
    return name.ends_with(" temp") ? name + "erature" : name;
}

/// A target is held against what it is the target of, so it is wanted as often.
double wanted_rate_hz(Signal signal) {
    switch (signal) {
        case Signal::lambda_target:
            return least_rate_hz(Signal::lambda);
        case Signal::boost_target_kpa:
            return least_rate_hz(Signal::boost_pressure_kpa);
        case Signal::rail_pressure_target_mpa:
            return least_rate_hz(Signal::rail_pressure_mpa);
        case Signal::spark_deg:
        case Signal::spark_base_deg:  // read cell by cell as the engine speed runs through the table
            return least_rate_hz(Signal::engine_speed_rpm);
        default:
            return least_rate_hz(signal);
    }
}

CardChannel channel_of(const std::vector<Signal>& signals) {
    CardChannel channel;
    for (const Signal signal : signals) {
        channel.channels.emplace_back(info(signal).name);
        channel.words += (channel.words.empty() ? "" : " or ") + spoken(signal);
        channel.least_hz = std::max(channel.least_hz, wanted_rate_hz(signal));
    }
    if (channel.least_hz == 0.0) channel.least_hz = kUnaskedHz;
    channel.unit = info(signals.front()).unit;
    return channel;
}

class Channels {
public:
    void need(const std::vector<Signal>& signals, std::string_view use, bool required) {
        CardChannel wanted = channel_of(signals);
        CardChannel* row = row_for(wanted.channels, required);
        if (!row) {
            rows_.push_back(std::move(wanted));
            row = &rows_.back();
        }
        row->required = row->required || required;
        if (std::ranges::find(row->uses, use) == row->uses.end()) row->uses.emplace_back(use);
    }

    std::vector<CardChannel> take() {
        std::ranges::stable_partition(rows_, [](const CardChannel& row) { return row.required; });
        return std::move(rows_);
    }

private:
    /// The same row, or, for what is not required, one that is enough for it.
    CardChannel* row_for(const std::vector<std::string>& channels, bool required) {
        for (CardChannel& row : rows_) {
            const bool enough = std::ranges::all_of(row.channels, [&](const std::string& name) {
                return std::ranges::find(channels, name) != channels.end();
            });
            if (row.channels == channels || (!required && enough)) return &row;
        }
        return nullptr;
    }

    std::vector<CardChannel> rows_;
};

bool runs(const Check& check, const JobSheet& job) {
    if (check.boosted_only && !job.engine.turbocharged()) return false;
    if (!check.only_where_limited) return true;
    const Limit& limit = job.limits.at(check.limit);
    return limit.watch || limit.mend || limit.stop;
}

}  // namespace

std::vector<CardChannel> card_channels(const JobSheet& job) {
    Channels channels;
    for (const bool required : {true, false})
        for (const Check& check : all_checks())
            if (runs(check, job) && (check.standing == Standing::required) == required)
                for (const std::vector<Signal>& group : check.needs) channels.need(group, check.id, required);
    for (const Further& further : further_channels()) channels.need(further.signals, further.use, further.required);
    return channels.take();
}

}  // namespace revwright::app
