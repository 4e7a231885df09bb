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
constexpr double kWarmCoolantC = 75.0;     // by the contract, where a pull may begin
constexpr double kAfterStartSeconds = 20;  // start enrichment is over
constexpr double kLeastSeconds = 10.0;     // of idle or cruise, else the median is chance
constexpr double kRestPct = 1.5;           // pedal above its lowest: the foot is on it
constexpr double kStandingKmH = 2.0;
constexpr double kIdleRpm = 1300.0;          // below it, with the pedal at rest and standing: idle
constexpr double kSteadyRpmPerSecond = 150;  // faster: neither idle nor cruise, the film on the ports changes
constexpr double kSlopeSeconds = 1.5;
constexpr double kClosedLoop = 0.98;  // lambda target from here to its mirror: closed loop
constexpr double kReachSeconds = 2.0;
constexpr double kSlowReachSeconds = 10.0;
constexpr double kDeadPct = 0.05;  // short trim within this all the time: no closed loop at work

std::vector<double> along_of(const RunView& run, Signal signal, std::span<const double> times, double reach) {
    const Channel* channel = run.find(signal);
    if (!channel) return std::vector<double>(times.size(), NAN);
    return values_along(run.log().series(*channel), times, reach);
}

/// The trims in one way of running.
struct Regime {
    std::vector<double> times, total, rpm;
    double seconds = 0.0;
    bool enough() const { return seconds >= kLeastSeconds; }
    double median_pct() const { return median(total); }
};

struct Trims {
    Regime idle, cruise;
    double short_low = INFINITY, short_high = -INFINITY;
    bool moves() const { return short_high - short_low > kDeadPct; }
};

/// Everything the sorting needs, at the times of the short trim.
struct TrimTrack {
    std::vector<double> times, trim_short, trim_long, rpm, slope, coolant, pedal, road, target;
    double rest = 0.0;  // of the pedal
};

/// Change of engine speed around each time, rpm/s.
std::vector<double> slopes(std::span<const double> times, std::span<const double> rpm) {
    std::vector<double> slope(times.size(), NAN);
    std::size_t from = 0, to = 0;
    for (std::size_t i = 0; i < times.size(); ++i) {
        while (times[i] - times[from] > kSlopeSeconds) ++from;
        while (to + 1 < times.size() && times[to + 1] - times[i] <= kSlopeSeconds) ++to;
        if (to > from) slope[i] = (rpm[to] - rpm[from]) / (times[to] - times[from]);
    }
    return slope;
}

/// Pedal, or throttle where no pedal is logged.
const Channel* foot_of(const RunView& run) {
    const Channel* pedal = run.find(Signal::pedal_pct);
    return pedal ? pedal : run.find(Signal::throttle_pct);
}

TrimTrack track_of(const RunView& run) {
    TrimTrack track;
    const Channel* trim = run.find(Signal::trim_short_pct);
    const Channel* foot = foot_of(run);
    if (!trim || !foot) return track;
    Samples samples = whole_of(run.log(), *trim);
    track.times = std::move(samples.times);
    track.trim_short = std::move(samples.values);
    track.trim_long = along_of(run, Signal::trim_long_pct, track.times, kSlowReachSeconds);
    track.rpm = along_of(run, Signal::engine_speed_rpm, track.times, kReachSeconds);
    track.slope = slopes(track.times, track.rpm);
    track.coolant = along_of(run, Signal::coolant_temp_c, track.times, kSlowReachSeconds);
    track.pedal = values_along(run.log().series(*foot), track.times, kReachSeconds);
    track.road = along_of(run, Signal::vehicle_speed_km_h, track.times, kReachSeconds);
    track.target = along_of(run, Signal::lambda_target, track.times, kReachSeconds);
    const std::vector<double> pedals = whole_of(run.log(), *foot).values;
    if (!pedals.empty()) track.rest = *std::ranges::min_element(pedals);
    return track;
}

enum class Way { idle, cruise, neither };

Way way_at(const TrimTrack& track, std::size_t i) {
    const double target = track.target[i];
    if (!std::isnan(target) && (target < kClosedLoop || target > 2.0 - kClosedLoop)) return Way::neither;
    if (!(std::abs(track.slope[i]) <= kSteadyRpmPerSecond)) return Way::neither;
    const bool foot_off = track.pedal[i] <= track.rest + kRestPct;
    if (!foot_off) return track.pedal[i] < kPartPedalPct && track.rpm[i] > kIdleRpm ? Way::cruise : Way::neither;
    const bool standing = std::isnan(track.road[i]) || track.road[i] < kStandingKmH;
    return standing && track.rpm[i] < kIdleRpm ? Way::idle : Way::neither;
}

Trims trims_of(const RunView& run) {
    Trims trims;
    const TrimTrack track = track_of(run);
    const RunningTime running(run.log(), kAfterStartSeconds);
    const double step = typical_interval(track.times);
    for (std::size_t i = 0; i < track.times.size(); ++i) {
        if (!(track.coolant[i] >= kWarmCoolantC) || !running.at(track.times[i])) continue;
        const Way way = way_at(track, i);
        const double total = track.trim_short[i] + track.trim_long[i];
        if (way == Way::neither || std::isnan(total)) continue;
        Regime& regime = way == Way::idle ? trims.idle : trims.cruise;
        regime.times.push_back(track.times[i]);
        regime.total.push_back(total);
        regime.rpm.push_back(track.rpm[i]);
        const double since = i > 0 ? track.times[i] - track.times[i - 1] : step;
        regime.seconds += std::min(since, kReachSeconds);
        trims.short_low = std::min(trims.short_low, track.trim_short[i]);
        trims.short_high = std::max(trims.short_high, track.trim_short[i]);
    }
    return trims;
}

/// What a lean (positive) or rich trim in these ways of running speaks for.
std::string_view cause_of(bool at_idle, bool at_cruise, bool lean) {
    if (at_idle && at_cruise)
        return lean ? "everywhere: fuel pressure, injector flow or the air meter's scale"
                    : "everywhere: fuel pressure, injector flow or the air meter's scale, or the fuel vapour valve";
    if (at_idle)
        return lean ? "at idle alone: air that no meter sees, or the injectors' dead time"
                    : "at idle alone: a leaking injector, the fuel vapour valve, or the injectors' dead time";
    return "off idle alone: the air meter's curve or the volumetric efficiency table, or fuel pressure";
}

std::string words(const Regime& regime, std::string_view where) {
    if (!regime.enough()) return fmt::format("too short {} to tell", where);
    return fmt::format("{:+.1f} % {}", regime.median_pct(), where);
}

Finding of_trims(const RunView& run, const Trims& trims, const Limit& limit) {
    const auto size = [](const Regime& r) { return r.enough() ? std::abs(r.median_pct()) : -1.0; };
    const bool idle_worse = size(trims.idle) > size(trims.cruise);
    const Regime& worse = idle_worse ? trims.idle : trims.cruise;
    const Verdict judged = verdict(size(worse), limit, Side::above);
    Finding found = finding(worse.times[worse.times.size() / 2], worse.median_pct(), judged);
    found.log = run.index;
    found.engine_speed_rpm = median(worse.rpm);
    found.duration_s = worse.seconds;
    const std::string both = fmt::format("warm trims (short + long, median) stand at {} and {}",
                                         words(trims.idle, "at idle"), words(trims.cruise, "at cruise"));
    if (judged.severity == Severity::clear) {
        found.duration_s = 0.0;
        found.text = both;
        return found;
    }
    const bool lean = worse.median_pct() > 0.0;
    const double first = limit.watch.value_or(judged.limit);
    const auto out = [&](const Regime& r) { return size(r) >= first && (r.median_pct() > 0.0) == lean; };
    if (idle_worse && !out(trims.cruise)) found.levers = {"hardware"};
    found.text =
        fmt::format("{}, {:.0f} % is the limit; {} {}{}", both, judged.limit, lean ? "fuel is added" : "fuel is taken",
                    cause_of(out(trims.idle), out(trims.cruise), lean),
                    judged.severity == Severity::stop ? "; no full load before this is cured" : "");
    return found;
}

}  // namespace

std::optional<Obstacle> fuel_trim_obstacle(const RunView& run) {
    if (!foot_of(run)) return Obstacle{{"pedal_pct"}, "neither pedal nor throttle tells idle from cruise"};
    const Trims trims = trims_of(run);
    if (!trims.idle.enough() && !trims.cruise.enough())
        return Obstacle{{},
                        fmt::format("the log holds less than {:.0f} s of warm idle or steady cruise", kLeastSeconds)};
    if (!trims.moves()) return Obstacle{{"trim_short_pct"}, "the short trim never moves: no closed loop is at work"};
    return std::nullopt;
}

std::vector<Finding> fuel_trim(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) findings.push_back(of_trims(run, trims_of(run), limit));
    return findings;
}

}  // namespace revwright
