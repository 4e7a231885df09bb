#include "review/leave_out.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "review/channel_faults.h"
#include "review/channel_health.h"
#include "review/window.h"

namespace revwright {
namespace {

using Kind = ChannelFault::Kind;

constexpr double kNoSample = std::numeric_limits<double>::quiet_NaN();
constexpr double kSlowestForSpikes = 0.101;  // s between samples: in a slower trace a lone sample may be true
constexpr double kReachSeconds = 1.0;

bool places_the_pull(ChannelKey key) {
    return key.signal == Signal::engine_speed_rpm || key.signal == Signal::pedal_pct;
}

/// A probe of the exhaust that never moves in a drive with pulls is dead, though no check depends on it moving.
bool dead_probe(const RunView& run, const Channel& channel) {
    if (channel.key->signal != Signal::exhaust_temp_c || run.pulls.empty() || !is_whole_drive(run)) return false;
    const auto moved = [&](double value) { return !std::isnan(value) && value != channel.values.front(); };
    return std::ranges::none_of(channel.values, moved);
}

/// The samples from..to, and those beside them that hold the same value.
void blank_still(Series series, std::vector<double>& values, double from, double to) {
    const auto begin = std::ranges::lower_bound(series.times, from) - series.times.begin();
    const auto end = std::ranges::upper_bound(series.times, to) - series.times.begin();
    auto first = static_cast<std::size_t>(begin), last = static_cast<std::size_t>(end);
    if (first >= last) return;
    const double value = values[first];
    const auto same = [&](std::size_t i) { return std::isnan(values[i]) || values[i] == value; };
    while (first > 0 && same(first - 1)) --first;
    while (last < values.size() && same(last)) ++last;
    std::fill(values.begin() + static_cast<std::ptrdiff_t>(first), values.begin() + static_cast<std::ptrdiff_t>(last),
              kNoSample);
}

/// Cut off below its target, a pressure would be accused of being low; above it, what it shows is true at least.
void blank_below_target(const Log& log, Channel& channel, const ChannelFault& fault) {
    const Channel* target = log.find(Signal::boost_target_kpa);
    if (!target) return;
    const std::vector<double>& times = log.time_bases[channel.time_base].seconds;
    const std::vector<double> wanted = values_along(log.series(*target), times, kReachSeconds);
    for (std::size_t i = 0; i < times.size(); ++i) {
        const bool inside = times[i] >= fault.time_s && times[i] <= fault.time_s + fault.duration_s;
        if (inside && channel.values[i] >= fault.value && wanted[i] >= fault.value) channel.values[i] = kNoSample;
    }
}

void blank_spike(const Log& log, Channel& channel, double time_s) {
    const Samples around = samples_within(log, channel, time_s - kReachSeconds, time_s + kReachSeconds);
    if (typical_interval(around.times) > kSlowestForSpikes) return;
    const std::vector<double>& times = log.time_bases[channel.time_base].seconds;
    const auto at = std::ranges::lower_bound(times, time_s);
    if (at != times.end()) channel.values[static_cast<std::size_t>(at - times.begin())] = kNoSample;
}

bool is_blanked(const ChannelFault& fault) {
    return (fault.kind == Kind::stuck && !fault.whole_log) || fault.kind == Kind::clipped || fault.kind == Kind::spike;
}

void blank(Log& log, const ChannelFault& fault) {
    for (Channel& channel : log.channels) {
        if (!channel.key || places_the_pull(*channel.key) || std::ranges::count(fault.channels, *channel.key) == 0)
            continue;
        const Signal signal = channel.key->signal;
        if (fault.kind == Kind::stuck)
            blank_still(log.series(channel), channel.values, fault.time_s, fault.time_s + fault.duration_s);
        else if (fault.kind == Kind::spike)
            blank_spike(log, channel, fault.time_s);
        else if (signal == Signal::boost_pressure_kpa || signal == Signal::manifold_pressure_kpa)
            blank_below_target(log, channel, fault);
    }
}

}  // namespace

void leave_out_faults(RunView& run) {
    std::vector<ChannelKey> out;
    for (const Channel& channel : run.log().channels) {
        if (!channel.key || places_the_pull(*channel.key)) continue;
        if (why_unusable(run.log(), channel) || dead_probe(run, channel)) {
            out.push_back(*channel.key);
            run.distrusted.push_back(&channel);
        }
    }
    run.faults = channel_faults(run);
    for (const ChannelFault& fault : run.faults)
        if (fault.kind == Kind::stuck && fault.whole_log)
            std::ranges::copy_if(fault.channels, std::back_inserter(out), std::not_fn(places_the_pull));
    if (std::ranges::any_of(run.faults, is_blanked)) {
        auto masked = std::make_shared<Log>(run.log());
        for (const ChannelFault& fault : run.faults)
            if (is_blanked(fault)) blank(*masked, fault);
        run.driven.log = masked.get();
        run.masked = std::move(masked);
    }
    run.distrusted.clear();
    for (const ChannelKey key : out) run.distrusted.push_back(run.log().find(key));
}

Log as_judged(const JobSheet& job, const DrivenLog& driven, std::span<const Pull> pulls) {
    RunView run{.job = &job, .driven = driven};
    run.pulls.assign(pulls.begin(), pulls.end());
    leave_out_faults(run);
    Log log = run.log();
    for (const Channel* left_out : run.distrusted)
        if (left_out)
            for (Channel& channel : log.channels)
                if (channel.key == left_out->key) std::ranges::fill(channel.values, kNoSample);
    return log;
}

std::string why_left_out(const RunView& run, ChannelKey key) {
    const Channel* channel = run.log().find(key);
    if (!channel) return "is not logged";
    if (auto why = why_unusable(run.log(), *channel)) return *why;
    return "stands still throughout, so it is dead and can not be judged by";
}

}  // namespace revwright
