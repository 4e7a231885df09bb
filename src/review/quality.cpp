#include <fmt/format.h>

#include "review/channel_faults.h"
#include "review/checks.h"

namespace revwright {
namespace {

Finding of_fault(const RunView& run, const ChannelFault& fault) {
    using Kind = ChannelFault::Kind;
    const std::string name = to_string(*fault.channel->key);
    const bool pressure = fault.channel->key->signal == Signal::boost_pressure_kpa ||
                          fault.channel->key->signal == Signal::manifold_pressure_kpa;
    Finding found = finding(fault.time_s, fault.value, {Severity::watch, fault.limit, fault.limit - fault.value});
    found.log = run.index;
    if (fault.pull) found.pull = run.pulls[*fault.pull].index;
    found.duration_s = fault.duration_s;
    switch (fault.kind) {
        case Kind::stuck:
            found.severity = Severity::mend;
            found.value = fault.duration_s;
            found.margin = fault.limit - fault.duration_s;
            found.unit = "s";
            found.text = fmt::format("{} stands still at {:g} for {:.1f} s while it must move; the checks leave it out",
                                     name, fault.value, fault.duration_s);
            break;
        case Kind::clipped:
            found.unit = "s";
            found.value = fault.duration_s;
            found.margin = fault.limit - fault.duration_s;
            found.text = fmt::format("{} is cut off at {:g} for {:.1f} s; the true value was higher", name, fault.value,
                                     fault.duration_s);
            if (pressure) {
                // The contract: a clipped pressure is sensor-range.
                found.check = "sensor-range";
                found.unit = "%";
                found.value = 100.0;
                found.limit = run.job->limits.at("sensor_range_pct").watch.value_or(97.0);
                found.margin = found.limit - 100.0;
            }
            break;
        case Kind::slow:
            found.unit = "Hz";
            found.margin = fault.value - fault.limit;
            found.text =
                fmt::format("{} is logged {:.1f} times a second, {:g} are needed", name, fault.value, fault.limit);
            break;
        case Kind::gap:
            found.unit = "s";
            found.text = fmt::format("{} has no sample for {:.1f} s under full pedal", name, fault.value);
            break;
        case Kind::spike:
            found.unit = fault.channel->unit;
            found.text =
                fmt::format("{} jumps by {:g} for a single sample: a bad contact or a lost message", name, fault.value);
            break;
    }
    return found;
}

/// What the reader found wrong with the clock.
std::vector<Finding> of_clock(const RunView& run) {
    std::vector<Finding> findings;
    for (const QualityNote& note : run.log().quality) {
        if (!note.kind.starts_with("time")) continue;
        Finding found =
            finding(note.start_s, note.end_s - note.start_s, {Severity::watch, 0.0, note.start_s - note.end_s});
        found.log = run.index;
        found.duration_s = found.value;
        found.unit = "s";
        for (const Pull& pull : run.pulls)
            if (note.start_s <= pull.end_s && note.end_s >= pull.start_s) found.pull = pull.index;
        found.text = note.text;
        findings.push_back(std::move(found));
    }
    return findings;
}

}  // namespace

std::vector<Finding> log_quality(std::span<const RunView> runs, const Check&, const Limit&) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const std::size_t before = findings.size();
        for (const ChannelFault& fault : channel_faults(run)) findings.push_back(of_fault(run, fault));
        for (Finding& found : of_clock(run)) findings.push_back(std::move(found));
        if (findings.size() > before || run.pulls.empty()) continue;
        Finding clear = finding(run.pulls.front().start_s, 0.0, {Severity::clear, 0.5, 0.5});
        clear.log = run.index;
        clear.unit = "s";
        clear.text = "no gap, stuck channel or clock fault in the pulls";
        findings.push_back(std::move(clear));
    }
    return findings;
}

}  // namespace revwright
