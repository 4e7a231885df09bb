#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/engine_running.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source; 1,000 revolutions and about one percent are what on-board diagnosis looks at
// (from memory).
constexpr double kWindowRevolutions = 1000.0;
constexpr double kFew = 5.0;               // in such a window, below the limit: worth a look
constexpr double kLimiterNearRpm = 200.0;  // the speed limiter cuts fuel, and may
constexpr double kSlack = 1.05;            // more new misfires than combustion events: the counter was set, not counted
constexpr double kAfterStartSeconds = 3.0;
constexpr double kReachSeconds = 2.0;

/// New misfires between two samples of a counter, with how far the engine turned.
struct Rise {
    double from_s = 0.0, to_s = 0.0;
    double count = 0.0, revolutions = 0.0, rpm = 0.0;
    std::optional<int> cylinder = {};
};

/// A counter that falls was reset or wrapped; one that rises faster than the engine fires was set.
std::vector<Rise> rises_of(const RunView& run, const Channel& channel) {
    const Channel* speed = run.find(Signal::engine_speed_rpm);
    if (!speed) return {};
    const Samples counter = whole_of(run.log(), channel);
    const std::vector<double> count = median_of_three(counter.values);
    const std::vector<double> rpm = values_along(run.log().series(*speed), counter.times, kReachSeconds);
    const RunningTime running(run.log(), kAfterStartSeconds);
    const double limiter = run.job->engine.max_speed_rpm;
    const bool whole = channel.key->part == 0;
    const double events_per_turn = whole ? 0.5 * run.job->engine.cylinders : 0.5;
    std::vector<Rise> rises;
    for (std::size_t i = 1; i < count.size(); ++i) {
        const double seconds = counter.times[i] - counter.times[i - 1];
        const bool limited = limiter > 0.0 && rpm[i] > limiter - kLimiterNearRpm;
        if (!running.at(counter.times[i]) || !running.at(counter.times[i - 1]) || !(rpm[i] > 0.0)) continue;
        Rise rise{counter.times[i - 1], counter.times[i], count[i] - count[i - 1], rpm[i] / 60.0 * seconds, rpm[i], {}};
        if (!whole) rise.cylinder = channel.key->part;
        rises.push_back(rise);
        if (rise.count < 0.0 || limited) rises.back().count = 0.0;
    }
    // The counter is sent seldom: what it may have risen by, it has gathered since its last change.
    double gathered = 0.0;
    for (Rise& rise : rises) {
        gathered += rise.revolutions * events_per_turn;
        if (rise.count > kSlack * gathered + 1.0) rise.count = 0.0;
        if (rise.count > 0.0) gathered = 0.0;
    }
    return rises;
}

/// The channels to count: every cylinder's own where they are logged, else the sum.
std::vector<const Channel*> counters_of(const RunView& run) {
    std::vector<const Channel*> counters = run.all(Signal::misfire_count);
    if (counters.size() > 1 && counters.front()->key->part == 0) counters.erase(counters.begin());
    return counters;
}

std::string whose(const std::optional<int>& cylinder) {
    return cylinder ? fmt::format(" in cylinder {}", *cylinder) : "";
}

struct Counted {
    double count = 0.0, events = 0.0;
    Rise worst = {};
    double percent() const { return events > 0.0 ? 100.0 * count / events : 0.0; }
};

void add(Counted& counted, const Rise& rise, double events_per_turn) {
    counted.count += rise.count;
    counted.events += rise.revolutions * events_per_turn;
    if (rise.count > counted.worst.count) counted.worst = rise;
}

/// In one pull each misfire counts: the charge it leaves behind burns in the exhaust.
std::optional<Finding> in_pull(const RunView& run, const std::vector<Rise>& rises, const Pull& pull, double per_turn,
                               const Limit& limit) {
    Counted counted;
    for (const Rise& rise : rises)
        if (rise.from_s >= pull.start_s && rise.to_s <= pull.end_s) add(counted, rise, per_turn);
    if (!(counted.count >= 1.0)) return std::nullopt;
    Verdict judged = verdict(counted.percent(), limit, Side::above);
    if (judged.severity < Severity::mend) judged = {Severity::mend, 0.0, -counted.percent()};
    Finding found = finding(counted.worst.to_s, counted.percent(), judged);
    found.log = run.index;
    found.pull = pull.index;
    found.engine_speed_rpm = counted.worst.rpm;
    found.cylinder = counted.worst.cylinder;
    found.duration_s = pull.end_s - pull.start_s;
    found.text = fmt::format(
        "{:.0f} misfires{} at full load, {:.2g} % of what was fired; none is allowed there, {:g} % is a stop: look at "
        "plugs, gap and coils, then at the mixture",
        counted.count, whose(found.cylinder), counted.percent(), limit.stop.value_or(limit.mend.value_or(0.0)));
    return found;
}

/// Outside the pulls: the worst thousand revolutions.
std::optional<Finding> outside_pulls(const RunView& run, const std::vector<Rise>& rises, double per_turn,
                                     const Limit& limit) {
    Counted window, worst;
    std::size_t first = 0;
    double turned = 0.0;
    const auto outside = [&](const Rise& rise) {
        return std::ranges::none_of(run.pulls,
                                    [&](const Pull& p) { return rise.from_s >= p.start_s && rise.to_s <= p.end_s; });
    };
    for (std::size_t i = 0; i < rises.size(); ++i) {
        if (!outside(rises[i])) {
            window = {}, turned = 0.0, first = i + 1;
            continue;
        }
        turned += rises[i].revolutions;
        window.count += rises[i].count;
        for (; first < i && turned - rises[first].revolutions >= kWindowRevolutions; ++first)
            turned -= rises[first].revolutions, window.count -= rises[first].count;
        if (window.count <= worst.count) continue;
        worst = window;
        worst.events = std::max(turned, kWindowRevolutions) * per_turn;
        worst.worst = rises[i];
    }
    Verdict judged = verdict(worst.percent(), limit, Side::above);
    if (judged.severity == Severity::stop) judged = {Severity::mend, *limit.mend, *limit.mend - worst.percent()};
    if (judged.severity == Severity::clear && worst.count >= kFew) judged = {Severity::watch, 0.0, -worst.percent()};
    if (judged.severity == Severity::clear) return std::nullopt;
    Finding found = finding(worst.worst.to_s, worst.percent(), judged);
    found.log = run.index;
    found.engine_speed_rpm = worst.worst.rpm;
    found.cylinder = worst.worst.cylinder;
    found.text = fmt::format(
        "{:.0f} misfires{} within {:.0f} revolutions outside full load, {:.2g} % of what was fired, {:g} % is the "
        "limit; "
        "cure it before the next full-load run: plugs, coils, mixture",
        worst.count, whose(found.cylinder), kWindowRevolutions, worst.percent(), limit.mend.value_or(0.0));
    return found;
}

Finding nothing_counted(const RunView& run, const Limit& limit) {
    Finding clear = finding(run.log().span().start_s, 0.0, verdict(0.0, limit, Side::above));
    clear.log = run.index;
    clear.text = "no misfire is counted at full load, and none to speak of elsewhere";
    return clear;
}

}  // namespace

std::vector<Finding> misfire(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const std::size_t before = findings.size();
        for (const Channel* counter : counters_of(run)) {
            const std::vector<Rise> rises = rises_of(run, *counter);
            // The share of the whole engine's events, also where one cylinder counts alone.
            const double per_turn = 0.5 * run.job->engine.cylinders;
            for (const Pull& pull : run.pulls)
                if (auto found = in_pull(run, rises, pull, per_turn, limit)) findings.push_back(std::move(*found));
            if (auto found = outside_pulls(run, rises, per_turn, limit)) findings.push_back(std::move(*found));
        }
        if (findings.size() == before) findings.push_back(nothing_counted(run, limit));
    }
    return findings;
}

}  // namespace revwright
