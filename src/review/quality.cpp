#include <algorithm>
#include <fmt/format.h>

#include "review/channel_health.h"
#include "review/checks.h"
#include "review/sensor_range.h"
#include "review/what_suffers.h"

namespace revwright {
namespace {

using Kind = ChannelFault::Kind;

/// Faults of one cause that come up again and again: the worst of them is told.
struct Recurring {
    const ChannelFault* worst = nullptr;
    std::size_t times = 0;
};

double badness(const ChannelFault& fault) {
    return fault.kind == Kind::spike ? fault.value / fault.limit : fault.duration_s;
}

/// Holes are told pull by pull: each is an event of its own.
std::vector<Recurring> recurring(const std::vector<ChannelFault>& faults) {
    std::vector<Recurring> found;
    for (const ChannelFault& fault : faults) {
        if (shows_end_of_range(fault)) continue;
        const auto same = std::ranges::find_if(found, [&](const Recurring& other) {
            return other.worst->kind == fault.kind && other.worst->channels == fault.channels &&
                   (fault.kind != Kind::gap || other.worst->pull == fault.pull);
        });
        if (same == found.end()) {
            found.push_back({&fault, 1});
            continue;
        }
        ++same->times;
        if (badness(fault) > badness(*same->worst)) same->worst = &fault;
    }
    return found;
}

/// "is" or "are", "stands" or "stand".
std::string_view verb(const ChannelFault& fault, std::string_view one, std::string_view several) {
    return fault.channels.size() > 1 ? several : one;
}

std::string unit_of(const ChannelFault& fault) {
    const std::string_view unit = info(fault.channels.front().signal).unit;
    return unit == "1" ? "" : fmt::format(" {}", unit);
}

std::string again(const Recurring& cause, std::string_view what) {
    if (cause.times < 2) return "";
    return fmt::format(" (the longest of {} such {})", cause.times, what);
}

std::string text_of(const RunView& run, const Recurring& cause) {
    const ChannelFault& fault = *cause.worst;
    const std::string names = channel_names(fault.channels);
    const std::string checks = in_words(checks_resting_on(run, fault.channels));
    switch (fault.kind) {
        case Kind::stuck:
            if (fault.whole_log)
                return fmt::format("{} {} {:g}{} in every row while {} must move: dead, and left out{}", names,
                                   verb(fault, "is", "are"), fault.value, unit_of(fault), verb(fault, "it", "they"),
                                   what_it_makes_impossible(run, fault));
            return fmt::format("{} {} still{} for {:.1f} s while {} must move{}{}", names,
                               verb(fault, "stands", "stand"),
                               fault.channels.size() > 1 ? "" : fmt::format(" at {:g}{}", fault.value, unit_of(fault)),
                               fault.duration_s, verb(fault, "it", "they"), again(cause, "stretches"),
                               what_it_makes_impossible(run, fault));
        case Kind::clipped:
            return fmt::format("{} {} cut off at {:g}{} for {:.1f} s{}; the true value was higher", names,
                               verb(fault, "is", "are"), fault.value, unit_of(fault), fault.duration_s,
                               again(cause, "stretches"));
        case Kind::slow:
            return fmt::format("{} {} a new value only {:.1f} times a second{}, {:g} are needed{}", names,
                               verb(fault, "has", "have"), fault.value, verb(fault, "", " or little more"), fault.limit,
                               checks.empty() ? ""
                                              : fmt::format(", so what lasts less than {:.1f} s goes unseen by {}",
                                                            1.0 / fault.value, checks));
        case Kind::gap:
            if (fault.all_channels)
                return fmt::format("nothing is recorded for {:.1f} s under full pedal in any of the {} channels{}",
                                   fault.value, run.log().channels.size(), what_it_makes_impossible(run, fault));
            return fmt::format("{} {} no sample for {:.1f} s under full pedal{}", names, verb(fault, "has", "have"),
                               fault.value, what_it_makes_impossible(run, fault));
        case Kind::spike:
            return fmt::format("{} {} by {:.3g}{} for a single sample{}: a bad contact or a lost message{}", names,
                               verb(fault, "jumps", "jump"), fault.value, unit_of(fault),
                               cause.times > 1 ? fmt::format(", and {} more like it", cause.times - 1) : "",
                               checks.empty() ? "" : fmt::format(", so {} leave such samples out", checks));
        case Kind::coarse:
            return fmt::format("{} {} in steps of {:.3g}{}, {:g} or finer are needed{}", names,
                               verb(fault, "moves", "move"), fault.value, unit_of(fault), fault.limit,
                               checks.empty() ? "" : fmt::format(", so {} can not tell less than that", checks));
    }
    return "";
}

Finding of_fault(const RunView& run, const Recurring& cause) {
    const ChannelFault& fault = *cause.worst;
    const bool by_time = fault.kind == Kind::stuck || fault.kind == Kind::clipped;
    const double value = by_time ? fault.duration_s : fault.value;
    const double margin = fault.kind == Kind::slow ? value - fault.limit : fault.limit - value;
    Finding found = finding(fault.time_s, value, {Severity::watch, fault.limit, margin});
    found.log = run.index;
    if (fault.pull) found.pull = run.pulls[*fault.pull].index;
    found.duration_s = fault.duration_s;
    const auto required = [&](ChannelKey key) { return carries_required_check(run, key); };
    if (fault.kind == Kind::stuck && std::ranges::any_of(fault.channels, required)) found.severity = Severity::mend;
    const bool in_its_unit = fault.kind == Kind::spike || fault.kind == Kind::coarse;
    found.unit = fault.kind == Kind::slow ? "Hz" : in_its_unit ? info(fault.channels.front().signal).unit : "s";
    found.text = text_of(run, cause);
    return found;
}

/// Times, and what two channels have to do with each other, are not what they seem.
std::vector<Finding> of_clock(const RunView& run) {
    std::vector<Finding> findings;
    for (const QualityNote& note : run.log().quality) {
        if (!note.kind.starts_with("time") && !note.kind.starts_with("clock")) continue;
        Finding found =
            finding(note.start_s, note.end_s - note.start_s, {Severity::watch, 0.0, note.start_s - note.end_s});
        found.log = run.index;
        found.duration_s = found.value;
        found.unit = "s";
        for (const Pull& pull : run.pulls)
            if (note.start_s <= pull.end_s && note.end_s >= pull.start_s) found.pull = pull.index;
        found.text = note.text + (found.pull ? ", so delays and durations can not be judged there" : "");
        findings.push_back(std::move(found));
    }
    return findings;
}

/// A leap of the clock looks like a hole in all channels.
bool is_leap_of_clock(const RunView& run, const ChannelFault& fault) {
    return fault.kind == Kind::gap && fault.all_channels &&
           std::ranges::any_of(run.log().quality, [&](const QualityNote& note) {
               return note.kind == "clock-jump" && note.start_s < fault.time_s + fault.duration_s &&
                      note.end_s > fault.time_s;
           });
}

/// Wheels that stand on a roller or are not on one at all have no speed to log.
bool may_be_dead(const RunView& run, const Channel& channel) {
    const bool dyno = run.driven.run && run.driven.run->place != RunPlace::road;
    return dyno && channel.key->signal == Signal::vehicle_speed_km_h;
}

/// Channels that hold no value at all, though a check rests on them.
std::vector<Finding> of_unusable(const RunView& run) {
    std::vector<Finding> findings;
    const double seconds = run.log().span().end_s - run.log().span().start_s;
    for (const Channel& channel : run.log().channels) {
        if (!channel.key || may_be_dead(run, channel)) continue;
        const auto why = why_unusable(run.log(), channel);
        const std::vector<std::string> checks = checks_resting_on(run, {*channel.key});
        if (!why || checks.empty()) continue;
        const std::string sentence =
            fmt::format("{} {}, so {} can not be judged", to_string(*channel.key), *why, in_words(checks));
        const auto same = std::ranges::find(findings, *why, &Finding::source);
        if (same == findings.end()) {
            findings.push_back(finding(run.log().span().start_s, seconds, {Severity::watch, 0.0, -seconds}));
            findings.back().log = run.index;
            findings.back().duration_s = seconds;
            findings.back().unit = "s";
            findings.back().text = sentence;
            findings.back().source = *why;
        } else {
            same->text += "; " + sentence;
        }
    }
    for (Finding& found : findings) found.source.clear();
    return findings;
}

}  // namespace

std::vector<Finding> log_quality(std::span<const RunView> runs, const Check&, const Limit&) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const std::size_t before = findings.size();
        for (const Recurring& cause : recurring(run.faults))
            if (!is_leap_of_clock(run, *cause.worst)) findings.push_back(of_fault(run, cause));
        for (auto&& more : {of_clock(run), of_unusable(run)}) findings.insert(findings.end(), more.begin(), more.end());
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
