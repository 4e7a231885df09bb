#include "review/sensor_range.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/refresh.h"
#include "review/what_suffers.h"

namespace revwright {
namespace {

constexpr double kDefaultWatchPct = 97.0;

bool has_range(ChannelKey key) {
    constexpr std::array sensors{Signal::boost_pressure_kpa,   Signal::manifold_pressure_kpa,
                                 Signal::ambient_pressure_kpa, Signal::exhaust_pressure_kpa,
                                 Signal::air_mass_flow_g_s,    Signal::rail_pressure_mpa,
                                 Signal::fuel_pressure_low_kpa};
    return std::ranges::find(sensors, key.signal) != sensors.end();
}

/// ", the largest number of 8 bits" where the plateau is the last count of a usual encoding from zero.
std::string encoding(const RunView& run, const ChannelFault& fault) {
    const Channel* channel = run.log().find(fault.channels.front());
    if (!channel) return "";
    const auto step = channel->resolution ? channel->resolution : renewal_of(run.log().series(*channel)).resolution;
    if (!step) return "";
    for (const int bits : {8, 10, 12, 16})
        if (std::abs(fault.value / *step - (std::exp2(bits) - 1.0)) < 0.5)
            return fmt::format(", the largest number {} bits hold", bits);
    return "";
}

}  // namespace

bool shows_end_of_range(const ChannelFault& fault) {
    return fault.kind == ChannelFault::Kind::clipped && std::ranges::any_of(fault.channels, has_range);
}

std::optional<Obstacle> no_end_of_range(const RunView& run) {
    if (std::ranges::any_of(run.faults, shows_end_of_range)) return std::nullopt;
    return Obstacle{.text =
                        "no pressure or air meter reached the end of its range, and where that is the log does not "
                        "tell"};
}

std::vector<Finding> sensor_range(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    const double watch = limit.watch.value_or(kDefaultWatchPct);
    for (const RunView& run : runs) {
        const ChannelFault* worst = nullptr;
        std::vector<ChannelKey> channels;
        for (const ChannelFault& fault : run.faults) {
            if (!shows_end_of_range(fault)) continue;
            for (const ChannelKey key : fault.channels)
                if (std::ranges::find(channels, key) == channels.end()) channels.push_back(key);
            if (!worst || fault.duration_s > worst->duration_s) worst = &fault;
        }
        if (!worst) continue;
        Finding found = finding(worst->time_s, 100.0, {Severity::watch, watch, watch - 100.0});
        found.log = run.index;
        found.pull = run.pulls[*worst->pull].index;
        found.duration_s = worst->duration_s;
        found.unit = "%";
        found.text = fmt::format(
            "{} {} cut off at {:g} {}{} for {:.1f} s: the sensor's range ends there and the true value was higher{}; a "
            "sensor of wider range would tell",
            channel_names(channels), channels.size() > 1 ? "are" : "is", worst->value,
            info(worst->channels.front().signal).unit, encoding(run, *worst), worst->duration_s,
            what_it_makes_impossible(run, *worst));
        findings.push_back(std::move(found));
    }
    return findings;
}

}  // namespace revwright
