#include "review/channel_health.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <map>

#include "review/channel_faults.h"
#include "review/clock_faults.h"
#include "review/possible.h"
#include "review/refresh.h"
#include "review/window.h"

namespace revwright {
namespace {

using Kind = ChannelFault::Kind;

// Our choices, common practice, no source.
constexpr double kRunningRpm = 300.0;
constexpr std::size_t kEnoughSamples = 20;
constexpr double kNegativeShare = 0.01;    // of the samples: then the whole channel is not absolute
constexpr double kUnpluggedApartK = 20.0;  // a temperature does not leap so far to the end of its code
constexpr double kBoostedKpa = 120.0;      // seen in a log without a job sheet: the engine is boosted

/// 0 in every row of a running engine says that the logger had no value to write. Others may well be 0 throughout.
constexpr std::array kNeverAllZero{Signal::engine_speed_rpm,
                                   Signal::manifold_pressure_kpa,
                                   Signal::boost_pressure_kpa,
                                   Signal::boost_target_kpa,
                                   Signal::ambient_pressure_kpa,
                                   Signal::air_mass_flow_g_s,
                                   Signal::charge_pct,
                                   Signal::air_per_stroke_mg,
                                   Signal::lambda,
                                   Signal::lambda_target,
                                   Signal::intake_temp_c,
                                   Signal::coolant_temp_c,
                                   Signal::oil_temp_c,
                                   Signal::exhaust_temp_c,
                                   Signal::exhaust_temp_modelled_c,
                                   Signal::exhaust_pressure_kpa,
                                   Signal::turbo_speed_rpm,
                                   Signal::rail_pressure_mpa,
                                   Signal::rail_pressure_target_mpa,
                                   Signal::fuel_pressure_low_kpa,
                                   Signal::injector_time_ms,
                                   Signal::vehicle_speed_km_h,
                                   Signal::torque_nm,
                                   Signal::torque_request_nm,
                                   Signal::battery_v};

void add_word(Channel& channel, std::string_view word) {
    if (std::ranges::find(channel.quality, word) == channel.quality.end()) channel.quality.emplace_back(word);
}

bool has_word(const Channel& channel, std::string_view word) {
    return std::ranges::find(channel.quality, word) != channel.quality.end();
}

bool engine_ran(const Log& log) {
    const Channel* speed = log.find(Signal::engine_speed_rpm);
    return speed && std::ranges::any_of(speed->values, [](double rpm) { return rpm > kRunningRpm; });
}

/// The one value of a channel that never has another; nothing where it moves or has too few samples.
std::optional<double> only_value(const Channel& channel) {
    std::optional<double> value;
    std::size_t samples = 0;
    for (const double sample : channel.values) {
        if (std::isnan(sample)) continue;
        if (value && sample != *value) return std::nullopt;
        value = sample;
        ++samples;
    }
    return samples >= kEnoughSamples ? value : std::nullopt;
}

/// A value that no running engine gives if it is the only one the channel ever shows.
bool says_nothing(Signal signal, double value) {
    if (reading(signal, value) != ReadingKind::possible || is_end_of_temperature_code(signal, value)) return true;
    return value == 0.0 && std::ranges::find(kNeverAllZero, signal) != kNeverAllZero.end();
}

bool is_dead(const Log& log, const Channel& channel) {
    if (!channel.key) return false;
    const auto value = only_value(channel);
    return value && says_nothing(channel.key->signal, *value) && engine_ran(log);
}

std::string_view word_for(ReadingKind what) {
    switch (what) {
        case ReadingKind::not_available:
            return "not-available";
        case ReadingKind::negative_pressure:
            return "negative-pressure";
        default:
            return "impossible";
    }
}

/// Readings at the end of a temperature's code, where the others are far from it.
void leave_out_unplugged(Channel& channel) {
    const Signal signal = channel.key->signal;
    const auto at_end = [&](double value) { return is_end_of_temperature_code(signal, value); };
    if (std::ranges::none_of(channel.values, at_end)) return;
    std::vector<double> others;
    for (const double value : channel.values)
        if (!std::isnan(value) && !at_end(value)) others.push_back(value);
    if (others.empty()) return;
    const auto [low, high] = std::ranges::minmax(others);
    for (double& value : channel.values) {
        if (!at_end(value) || (value > low - kUnpluggedApartK && value < high + kUnpluggedApartK)) continue;
        value = std::numeric_limits<double>::quiet_NaN();
        add_word(channel, "not-available");
    }
}

void leave_out_impossible(Channel& channel) {
    const Signal signal = channel.key->signal;
    std::size_t negative = 0, samples = 0;
    for (const double value : channel.values) {
        if (std::isnan(value)) continue;
        ++samples;
        negative += reading(signal, value) == ReadingKind::negative_pressure ? 1 : 0;
    }
    if (static_cast<double>(negative) > kNegativeShare * static_cast<double>(samples)) {
        add_word(channel, "negative-pressure");  // kept as they are: the user must see what was read
        return;
    }
    for (double& value : channel.values) {
        if (std::isnan(value)) continue;
        const ReadingKind what = reading(signal, value);
        if (what == ReadingKind::possible) continue;
        add_word(channel, what == ReadingKind::negative_pressure ? "impossible" : word_for(what));
        value = std::numeric_limits<double>::quiet_NaN();
    }
    leave_out_unplugged(channel);
}

std::string_view word_for(Kind kind) {
    switch (kind) {
        case Kind::stuck:
            return "stuck";
        case Kind::clipped:
            return "clipped";
        case Kind::slow:
            return "slow";
        case Kind::gap:
            return "gaps";
        case Kind::spike:
            return "spikes";
        case Kind::coarse:
            return "coarse";
    }
    return "";
}

std::string names_of(const Log& log, const ChannelFault& fault) {
    if (fault.all_channels) return "all channels";
    std::string names;
    for (const ChannelKey key : fault.channels)
        if (const Channel* channel = log.find(key)) names += (names.empty() ? "" : ", ") + channel->name;
    return names;
}

QualityNote note_of(const Log& log, const ChannelFault& fault) {
    const std::string names = names_of(log, fault);
    const double end = fault.time_s + fault.duration_s;
    switch (fault.kind) {
        case Kind::stuck:
            return {
                "stuck", fault.time_s, end,
                fmt::format("{}: still at {:g} for {:.1f} s while it must move", names, fault.value, fault.duration_s)};
        case Kind::clipped:
            return {"clipped", fault.time_s, end,
                    fmt::format("{}: cut off at {:g} for {:.1f} s", names, fault.value, fault.duration_s)};
        case Kind::slow:
            return {
                "slow", fault.time_s, end,
                fmt::format("{}: a new value {:.1f} times a second, {:g} are needed", names, fault.value, fault.limit)};
        case Kind::gap:
            return {"gap", fault.time_s, end, fmt::format("{}: no sample for {:.1f} s", names, fault.duration_s)};
        case Kind::spike:
            return {"spike", fault.time_s, end,
                    fmt::format("{}: a single sample at {:.2f} s is off by {:.3g}", names, fault.time_s, fault.value)};
        case Kind::coarse:
            return {
                "coarse", fault.time_s, end,
                fmt::format("{}: moves in steps of {:.3g}, {:g} or finer are needed", names, fault.value, fault.limit)};
    }
    return {};
}

bool looks_boosted(const Log& log) {
    const Channel* pressure = log.find(Signal::boost_pressure_kpa);
    if (!pressure) pressure = log.find(Signal::manifold_pressure_kpa);
    return pressure && std::ranges::any_of(pressure->values, [](double kpa) { return kpa > kBoostedKpa; });
}

}  // namespace

Log examine_channels(Log log) {
    for (Channel& channel : log.channels) {
        if (is_dead(log, channel))
            add_word(channel, "dead");  // its value is kept: the user must see what was read
        else if (channel.key)
            leave_out_impossible(channel);
        const Renewal renewal = renewal_of(log.series(channel));
        channel.refresh_hz = renewal.refresh_hz;
        channel.resolution = renewal.resolution;
    }
    for (QualityNote& note : clock_faults(log)) log.quality.push_back(std::move(note));
    return log;
}

Log note_faults(Log log, std::span<const Pull> pulls) {
    JobSheet job;
    if (looks_boosted(log)) job.engine.aspiration = Aspiration::turbocharged;
    const RunView run{.job = &job, .driven = {.log = &log}, .pulls = {pulls.begin(), pulls.end()}};
    for (const ChannelFault& fault : channel_faults(run)) {
        log.quality.push_back(note_of(log, fault));
        for (Channel& channel : log.channels)
            if (channel.key && (fault.all_channels || std::ranges::count(fault.channels, *channel.key) > 0))
                add_word(channel, word_for(fault.kind));
    }
    return log;
}

std::optional<std::string> why_unusable(const Log& log, const Channel& channel) {
    if (!channel.key) return "is none of ours";
    if (has_word(channel, "negative-pressure"))
        return "holds pressures below zero, so it is not absolute; a channel sheet can say what it is";
    if (std::ranges::all_of(channel.values, [](double value) { return std::isnan(value); })) return "has no sample";
    if (is_dead(log, channel))
        return fmt::format("is {:g} in every row: the logger had no value for it", *only_value(channel));
    return std::nullopt;
}

}  // namespace revwright
