#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/knock_events.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kApartDeg = 2.0;     // mean retard of one cylinder over the median of the others; our choice
constexpr double kChance = 0.01;      // that equal cylinders would share the events so unevenly
constexpr double kRetardedDeg = 0.5;  // samples where no cylinder is retarded more say nothing about cylinders

/// Stands for a limit that has only an event's worth in it.
Limit only_watch(const Limit& limit) {
    Limit one = limit;
    one.mend = one.stop = std::nullopt;
    return one;
}

Limit without_watch(const Limit& limit) {
    Limit hard = limit;
    hard.watch = std::nullopt;
    return hard;
}

std::string cylinder_name(int cylinder) {
    return cylinder == 0 ? "the worst cylinder" : fmt::format("cylinder {}", cylinder);
}

void place(Finding& found, const RunView& run, const Pull& pull, int cylinder) {
    found.log = run.index;
    found.pull = pull.index;
    if (cylinder != 0) found.cylinder = cylinder;
}

/// A lone event as deep as a stop: in no cell that knocked twice, and its cylinder did not stay retarded.
const KnockEvent* deep_event(const KnockPull& knock, const Limit& limit) {
    const KnockEvent* deepest = nullptr;
    for (const KnockEvent& event : knock.events)
        if (!deepest || event.retard_deg > deepest->retard_deg) deepest = &event;
    if (!deepest || deepest->repeated || !limit.stop || deepest->retard_deg < *limit.stop) return nullptr;
    const bool stayed = limit.mend && knock.held.deg >= *limit.mend && knock.held.cylinder == deepest->cylinder;
    return stayed ? nullptr : deepest;
}

/// The finding the levels call for, else the one a cell that knocked twice calls for, else a clear one.
Finding repeated_finding(const KnockPull& knock, const Limit& limit) {
    const Limit hard = without_watch(limit);
    const Verdict highest = verdict(knock.highest.deg, hard, Side::above);
    if (highest.severity == Severity::stop && !deep_event(knock, limit)) {
        Finding found = finding(knock.highest.time_s, knock.highest.deg, highest);
        found.cylinder = knock.highest.cylinder;
        found.text =
            fmt::format("the control unit took {:.1f} degrees from {}, {:.1f} is the limit; less spark is needed here",
                        knock.highest.deg, cylinder_name(knock.highest.cylinder), highest.limit);
        return found;
    }
    Limit no_stop = hard;
    no_stop.stop = std::nullopt;
    const Verdict held = verdict(knock.held.deg, no_stop, Side::above);
    if (held.severity == Severity::mend) {
        Finding found = finding(knock.held.time_s, knock.held.deg, held);
        found.cylinder = knock.held.cylinder;
        found.duration_s = knock.held.duration_s;
        found.text = fmt::format(
            "{} stayed {:.1f} degrees or more retarded for {:.1f} s, {:.1f} is the limit; less spark is needed here",
            cylinder_name(knock.held.cylinder), knock.held.deg, knock.held.duration_s, held.limit);
        return found;
    }
    const KnockEvent* worst = nullptr;
    for (const KnockEvent& event : knock.events)
        if (event.repeated && (!worst || event.retard_deg > worst->retard_deg)) worst = &event;
    if (worst) {
        const double threshold = limit.watch.value_or(1.0);
        Finding found =
            finding(worst->time_s, worst->retard_deg, {Severity::mend, threshold, threshold - worst->retard_deg});
        found.cylinder = worst->cylinder;
        found.text = fmt::format(
            "{} knocked here, {:.1f} degrees retarded, and the same cell knocked in another pull; less spark is needed "
            "in it",
            cylinder_name(worst->cylinder), worst->retard_deg);
        return found;
    }
    Finding found = finding(knock.held.time_s, knock.held.deg, held);
    found.text = fmt::format("no cell knocked twice; {:.1f} degrees is the most that stayed", knock.held.deg);
    return found;
}

/// Probability of k or more out of n where each has chance p. n is small: summed term by term.
double at_least(int k, int n, double p) {
    double term = std::pow(1.0 - p, n), below = 0.0;
    for (int i = 0; i < k; ++i) {
        below += term;
        term *= static_cast<double>(n - i) / (i + 1) * p / (1.0 - p);
    }
    return std::max(0.0, 1.0 - below);
}

struct CylinderShare {
    int cylinder = 0;
    int events = 0;
    double mean_deg = 0.0;
    const KnockEvent* worst = nullptr;
    std::size_t worst_pull = 0;
};

/// Mean retard of each cylinder over the samples in which any is retarded.
std::vector<double> mean_retards(const RunView& run, const std::vector<const Channel*>& channels) {
    std::vector<double> sums(channels.size(), 0.0);
    double count = 0.0;
    for (const Pull& pull : run.pulls) {
        const PullView view{&run, pull};
        const Samples first = view.samples(*channels.front());
        std::vector<std::vector<double>> retard;
        for (const Channel* channel : channels)
            retard.push_back(held_along(run.log().series(*channel), first.times, 1.0));
        for (std::size_t i = 0; i < first.times.size(); ++i) {
            const auto any = [&](const std::vector<double>& trace) { return trace[i] >= kRetardedDeg; };
            if (std::ranges::none_of(retard, any)) continue;
            count += 1.0;
            for (std::size_t c = 0; c < channels.size(); ++c) sums[c] += std::isnan(retard[c][i]) ? 0.0 : retard[c][i];
        }
    }
    if (count > 0.0)
        for (double& sum : sums) sum /= count;
    return sums;
}

std::vector<CylinderShare> shares(const RunView& run, const std::vector<const Channel*>& channels,
                                  const std::vector<KnockPull>& pulls) {
    const std::vector<double> means = mean_retards(run, channels);
    std::vector<CylinderShare> all;
    for (std::size_t c = 0; c < channels.size(); ++c) {
        CylinderShare share{.cylinder = channels[c]->key->part, .events = 0, .mean_deg = means[c]};
        for (const KnockPull& knock : pulls)
            for (const KnockEvent& event : knock.events) {
                if (event.cylinder != share.cylinder) continue;
                ++share.events;
                if (share.worst && share.worst->retard_deg >= event.retard_deg) continue;
                share.worst = &event;
                share.worst_pull = knock.pull;
            }
        all.push_back(share);
    }
    return all;
}

Finding cylinder_finding(const RunView& run, const std::vector<CylinderShare>& all) {
    const auto worst = std::ranges::max_element(all, std::less{}, &CylinderShare::mean_deg);
    std::vector<double> others;
    int events = 0;
    for (const CylinderShare& share : all) {
        events += share.events;
        if (share.cylinder != worst->cylinder) others.push_back(share.mean_deg);
    }
    const double apart = worst->mean_deg - median(std::move(others));
    const double cylinders = static_cast<double>(all.size());
    const double chance = cylinders * at_least(worst->events, events, 1.0 / cylinders);
    const bool stands_out = worst->worst && chance < kChance && apart >= kApartDeg;
    Finding found = finding(worst->worst ? worst->worst->time_s : 0.0, apart,
                            {stands_out ? Severity::watch : Severity::clear, kApartDeg, kApartDeg - apart});
    place(found, run, run.pulls[worst->worst ? worst->worst_pull : 0], worst->cylinder);
    if (!worst->worst) found.time_s = run.pulls.front().start_s;
    found.text = stands_out
                     ? fmt::format(
                           "cylinder {} is {:.1f} degrees more retarded than the others and has {} of {} knock events; "
                           "look at its plug, injector and cooling before the spark table",
                           worst->cylinder, apart, worst->events, events)
                     : fmt::format("no cylinder stands apart: {} knock events in all, {:.1f} degrees between cylinders",
                                   events, apart);
    return found;
}

}  // namespace

std::vector<Finding> knock_event(std::span<const RunView> runs, const Check&, const Limit& limit) {
    const Limit watch = only_watch(limit);
    std::vector<Finding> findings;
    for (const KnockPull& knock : knock_of(runs, limit.watch.value_or(1.0))) {
        const RunView& run = runs[knock.run];
        const Pull& pull = run.pulls[knock.pull];
        // What knock-repeated reports is not said twice.
        const bool severe = repeated_finding(knock, limit).severity != Severity::clear;
        if (const KnockEvent* deep = deep_event(knock, limit)) {
            Finding found = finding(deep->time_s, deep->retard_deg, verdict(deep->retard_deg, limit, Side::above));
            place(found, run, pull, deep->cylinder);
            found.text = fmt::format(
                "{} knocked once and was retarded by {:.1f} degrees, {:.1f} is the limit; less spark is needed here",
                cylinder_name(deep->cylinder), deep->retard_deg, found.limit);
            findings.push_back(std::move(found));
            continue;
        }
        const KnockEvent* worst = nullptr;
        std::size_t count = 0;
        for (const KnockEvent& event : knock.events) {
            if (event.repeated || severe) continue;
            ++count;
            if (!worst || event.rise_deg > worst->rise_deg) worst = &event;
        }
        const double rise = worst ? worst->rise_deg : 0.0;
        Finding found = finding(worst ? worst->time_s : pull.start_s, rise, verdict(rise, watch, Side::above));
        place(found, run, pull, worst ? worst->cylinder : 0);
        found.text = worst ? fmt::format(
                                 "{} knocked once, retard rose by {:.1f} degrees; {} such event{} in this pull, none "
                                 "in the same cell of another pull",
                                 cylinder_name(worst->cylinder), rise, count, count == 1 ? "" : "s")
                           : "no single knock event";
        findings.push_back(std::move(found));
    }
    return findings;
}

std::vector<Finding> knock_repeated(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const KnockPull& knock : knock_of(runs, limit.watch.value_or(1.0))) {
        const RunView& run = runs[knock.run];
        Finding found = repeated_finding(knock, limit);
        const int cylinder = found.cylinder.value_or(0);
        found.cylinder.reset();
        place(found, run, run.pulls[knock.pull], cylinder);
        if (found.time_s == 0.0) found.time_s = run.pulls[knock.pull].start_s;
        findings.push_back(std::move(found));
    }
    return findings;
}

std::vector<Finding> knock_cylinder(std::span<const RunView> runs, const Check&, const Limit& limit) {
    const std::vector<KnockPull> pulls = knock_of(runs, limit.watch.value_or(1.0));
    std::vector<Finding> findings;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        std::vector<const Channel*> channels = runs[r].all(Signal::knock_retard_deg);
        std::erase_if(channels, [](const Channel* channel) { return channel->key->part == 0; });
        if (channels.size() < 2 || runs[r].pulls.empty()) continue;
        std::vector<KnockPull> own;
        for (const KnockPull& knock : pulls)
            if (knock.run == r) own.push_back(knock);
        findings.push_back(cylinder_finding(runs[r], shares(runs[r], channels, own)));
    }
    return findings;
}

}  // namespace revwright
