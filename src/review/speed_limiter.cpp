#include "review/speed_limiter.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/engine_running.h"
#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kNearRpm = 150.0;           // below the engine's speed limit: the limiter may be at work
constexpr double kAheadSeconds = 5.0;        // after a pull's end the pedal may stay down in the limiter
constexpr double kTopRpm = 20.0;             // below the highest speed reached: from there on it rose no more
constexpr double kHoldSeconds = 0.3;         // so long near the limit without rising ...
constexpr double kTimesClimb = 4.0;          // ... and so many times slower than the climb before
constexpr double kClimbSeconds = 1.0;        // over which the climb before is measured
constexpr double kLeastClimbRpmPerS = 50.0;  // slower is a hold of the dynamometer's, or air drag
constexpr double kPedalGapSeconds = 0.3;
constexpr double kFirstCutSeconds = 0.1;  // the first cut comes before the speed is seen to stand
constexpr double kTyreSeconds = 1.0;

struct Symbol {
    char letter;
    double km_h;
};
constexpr std::array kSymbols{Symbol{'F', 80},  Symbol{'G', 90},  Symbol{'J', 100}, Symbol{'K', 110}, Symbol{'L', 120},
                              Symbol{'M', 130}, Symbol{'N', 140}, Symbol{'P', 150}, Symbol{'Q', 160}, Symbol{'R', 170},
                              Symbol{'S', 180}, Symbol{'T', 190}, Symbol{'U', 200}, Symbol{'H', 210}, Symbol{'V', 240},
                              Symbol{'W', 270}, Symbol{'Y', 300}};

/// The samples from the pull's start on for as long as the pedal stays down, in the pull's gear or not.
Samples speed_under_full_pedal(const PullView& view) {
    const RunView& run = *view.run;
    const double from = view.pull.start_s, to = view.pull.end_s + kAheadSeconds;
    Samples speed = samples_within(run.log(), *run.find(Signal::engine_speed_rpm), from, to);
    const Channel* pedal = run.find(Signal::pedal_pct);
    if (!pedal) pedal = run.find(Signal::throttle_pct);  // as pulls are found without a pedal
    double last = view.pull.end_s;
    if (pedal) {
        const Samples foot = samples_within(run.log(), *pedal, view.pull.end_s, to);
        const double gap = std::max(kPedalGapSeconds, 3.0 * typical_interval(foot.times));
        for (std::size_t i = 0; i < foot.times.size(); ++i) {
            if (foot.values[i] < kFullPedalPct || foot.times[i] - last > gap) break;
            last = foot.times[i];
        }
    }
    const auto end = std::ranges::upper_bound(speed.times, last) - speed.times.begin();
    speed.times.resize(static_cast<std::size_t>(end));
    speed.values.resize(static_cast<std::size_t>(end));
    return speed;
}

/// Change per second between two times, from the ends' neighbours.
double climb(const Samples& speed, double from, double to) {
    const Series series = speed.series();
    const double a = std::max(from, series.times.front()), b = std::min(to, series.times.back());
    return b > a ? (value_at(series, b) - value_at(series, a)) / (b - a) : 0.0;
}

/// How long the engine was held at its limit, and where first.
struct AtLimit {
    double from_s = 0.0, seconds = 0.0, highest_rpm = 0.0;
};

/// A pull that merely passes the last rpm climbs on; the limiter holds the speed, flat or as a saw-tooth.
std::optional<AtLimit> held_at_limit(const Samples& speed, double limit_rpm) {
    if (speed.times.size() < 4) return std::nullopt;
    const std::vector<double> calm = median_of_three(speed.values);
    const auto near = [&](double rpm) { return rpm >= limit_rpm - kNearRpm; };
    const auto first = std::ranges::find_if(calm, near);
    if (first == calm.end()) return std::nullopt;
    const auto at = static_cast<std::size_t>(first - calm.begin());
    // A gear change ends it; a saw-tooth dips only a little under the band.
    std::size_t last = at, top = at;
    for (std::size_t i = at; i < calm.size() && calm[i] >= limit_rpm - 3.0 * kNearRpm; ++i) {
        if (near(calm[i])) last = i;
        if (calm[i] > calm[top]) top = i;
    }
    // Flat or a small saw-tooth: no higher than soon after the top was reached. A large one: the whole band is flat.
    std::size_t reached = at;
    while (calm[reached] < calm[top] - kTopRpm) ++reached;
    for (const std::size_t begin : {reached, at}) {
        const double from = speed.times[begin], seconds = speed.times[last] - from;
        const double before = climb(speed, from - kClimbSeconds, from);
        if (!(before > kLeastClimbRpmPerS) || seconds < kHoldSeconds) continue;
        const double climbed = begin == reached ? kTopRpm / seconds : climb(speed, from, speed.times[last]);
        if (climbed <= before / kTimesClimb) return AtLimit{from, seconds, calm[top]};
    }
    return std::nullopt;
}

Finding of_engine(const PullView& view, double limit_rpm) {
    const Samples speed = speed_under_full_pedal(view);
    const auto held = held_at_limit(speed, limit_rpm);
    Finding found;
    if (!held) {
        const double highest = speed.values.empty() ? 0.0 : std::ranges::max(median_of_three(speed.values));
        found = finding(view.pull.end_s, highest, {Severity::clear, limit_rpm, limit_rpm - highest});
        found.text = fmt::format("engine speed ends at {:.0f} rpm, its limit is {:.0f} rpm", highest, limit_rpm);
    } else {
        const double margin = std::min(0.0, limit_rpm - held->highest_rpm);
        found = finding(held->from_s, held->highest_rpm, {Severity::watch, limit_rpm, margin});
        found.duration_s = held->seconds;
        found.text = fmt::format(
            "engine speed stood at its limiter ({:.0f} rpm) for {:.1f} s under full pedal; lift or shift earlier: the "
            "cut is no measure of anything, and hard on valves and catalyst",
            limit_rpm, held->seconds);
    }
    found.unit = "rpm";
    found.log = view.run->index;
    found.pull = view.pull.index;
    return found;
}

/// Road speed as the wheels make it: logged, else from engine speed in the known gear of each pull.
struct RoadSpeed {
    Samples km_h;
    std::string_view from;
};

std::optional<RoadSpeed> road_speed_of(const RunView& run) {
    for (const Signal signal : {Signal::gnss_speed_km_h, Signal::vehicle_speed_km_h})
        if (const Channel* channel = run.find(signal))
            return RoadSpeed{whole_of(run.log(), *channel),
                             signal == Signal::gnss_speed_km_h ? "satellite speed" : "vehicle speed"};
    RoadSpeed worked_out{{}, "engine speed and gear"};
    const Car& car = run.job->car;
    for (const Pull& pull : run.pulls) {
        if (!pull.gear || *pull.gear > static_cast<int>(car.gear_ratios.size())) continue;
        const double ratio = car.gear_ratios[static_cast<std::size_t>(*pull.gear) - 1] * car.final_drive;
        const Samples speed = PullView{&run, pull}.samples(Signal::engine_speed_rpm);
        for (std::size_t i = 0; i < speed.times.size(); ++i) {
            worked_out.km_h.times.push_back(speed.times[i]);
            worked_out.km_h.values.push_back(0.06 * speed.values[i] / ratio * car.rolling_circumference_m);
        }
    }
    if (worked_out.km_h.times.empty()) return std::nullopt;
    return worked_out;
}

std::optional<Finding> of_tyre(const RunView& run) {
    const auto allowed = tyre_speed_km_h(run.job->car.tyre);
    const auto road = allowed ? road_speed_of(run) : std::nullopt;
    if (!road) return std::nullopt;
    const auto held = highest_held(road->km_h.series(), kTyreSeconds);
    if (!held) return std::nullopt;
    const Limit& limit = run.job->limits.at("tyre_speed_pct");
    const double percent = 100.0 * held->level / *allowed;
    const Verdict judged = verdict(percent, limit, Side::above);
    Finding found = finding(road->km_h.times[held->worst], percent, judged);
    found.unit = limit.unit;
    found.source = limit.source;
    found.log = run.index;
    for (const Pull& pull : run.pulls)
        if (found.time_s >= pull.start_s && found.time_s <= pull.end_s) found.pull = pull.index;
    const std::string symbol =
        fmt::format("the {:.0f} km/h of the tyre's speed symbol {}", *allowed, run.job->car.tyre.speed_symbol);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("{} reaches {:.0f} km/h, {:.0f} % of {}", road->from, held->level, percent, symbol);
        return found;
    }
    found.duration_s = time_above(road->km_h.series(), held->worst, judged.limit * *allowed / 100.0);
    found.text = fmt::format(
        "{} reached {:.0f} km/h for {:.1f} s, {:.0f} % of {}, {:.0f} % is the limit; the vehicle speed limit belongs "
        "below it, or faster tyres on the car",
        road->from, held->level, found.duration_s, percent, symbol, judged.limit);
    return found;
}

}  // namespace

std::optional<double> tyre_speed_km_h(const Tyre& tyre) {
    if (tyre.speed_symbol.size() != 1) return std::nullopt;
    const auto found = std::ranges::find(kSymbols, tyre.speed_symbol.front(), &Symbol::letter);
    if (found == kSymbols.end()) return std::nullopt;
    return found->km_h;
}

double engine_speed_limit_rpm(const RunView& run) {
    double limit = run.job->engine.max_speed_rpm;
    if (!run.driven.tables || !run.job->image) return limit;
    const auto role = run.job->image->roles.find(Role::speed_limit);
    if (role == run.job->image->roles.end()) return limit;
    for (const RoleTable& entry : role->second) {
        const Table* table = run.driven.tables->find(entry.table);
        // A limit that depends on something stands somewhere between its cells: the highest is the one never passed.
        if (!table || table->values.empty() || !entry.when.empty()) continue;
        if (table->description.quantity.signal != Signal::engine_speed_rpm) continue;
        const double highest = std::ranges::max(table->values);
        if (highest > 0.0) limit = limit > 0.0 ? std::min(limit, highest) : highest;
    }
    return limit;
}

std::optional<double> speed_limiter_from_s(const PullView& view) {
    const double limit_rpm = engine_speed_limit_rpm(*view.run);
    const bool known = limit_rpm > 0.0 && view.run->find(Signal::engine_speed_rpm) != nullptr;
    if (!known || view.pull.kind == PullKind::hold) return std::nullopt;
    const auto held = held_at_limit(speed_under_full_pedal(view), limit_rpm);
    if (!held || held->from_s >= view.pull.end_s) return std::nullopt;
    return std::max(view.pull.start_s, held->from_s - kFirstCutSeconds);
}

std::vector<Finding> speed_limiter(std::span<const RunView> runs, const Check&, const Limit&) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const double limit_rpm = engine_speed_limit_rpm(run);
        if (limit_rpm > 0.0)
            for (const Pull& pull : run.pulls)
                if (pull.kind != PullKind::hold) findings.push_back(of_engine({&run, pull}, limit_rpm));
        if (auto found = of_tyre(run)) findings.push_back(std::move(*found));
    }
    return findings;
}

}  // namespace revwright
