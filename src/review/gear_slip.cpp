#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/engine_running.h"
#include "review/gear.h"
#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kHoldSeconds = 0.2;     // by the contract
constexpr double kLeastRefreshHz = 7.0;  // of the gearbox input speed: two refreshes within that time and more
constexpr double kReachSeconds = 0.5;
constexpr double kSlopeSeconds = 0.25;      // to either side: how fast engine speed changes
constexpr double kTellsLagRpmPerS = 150.0;  // from here a late signal shows
constexpr std::size_t kLagSamples = 10;
constexpr double kMostLagSeconds = 0.15;
constexpr double kEngageSeconds = 0.3;  // after a pull begins the clutch may still take up
constexpr double kLeastRpm = 1200.0;

/// Engine over gearbox input speed, at the moments when the gearbox's value was fresh.
struct InputTrack {
    std::vector<double> times, slip, slope, pedal;  // rpm, rpm, rpm/s, %
    double refresh_s = 0.0;
    double lag_s = 0.0;  // by which the input speed is late (positive) or the engine speed is
};

/// A row may repeat a channel: only where the value changes is it news.
Samples fresh(const Samples& samples) {
    Samples news;
    for (std::size_t i = 1; i < samples.times.size(); ++i)
        if (samples.values[i] != samples.values[i - 1]) {
            news.times.push_back(samples.times[i]);
            news.values.push_back(samples.values[i]);
        }
    return news;
}

/// Change of `series` per second around t, over kSlopeSeconds to either side.
double slope_at(const Series& series, double t) {
    return (value_at(series, t + kSlopeSeconds) - value_at(series, t - kSlopeSeconds)) / (2.0 * kSlopeSeconds);
}

/// Median lateness, from accelerations and decelerations that do not load the clutch; where a log has none, from all.
double lag_of(const InputTrack& track) {
    for (const bool light : {true, false}) {
        std::vector<double> lags;
        for (std::size_t i = 0; i < track.times.size(); ++i) {
            if (!(std::abs(track.slope[i]) > kTellsLagRpmPerS)) continue;
            if (light && !(track.pedal[i] < kPartPedalPct)) continue;
            const double lag = track.slip[i] / track.slope[i];
            if (std::isfinite(lag) && std::abs(lag) < 2.0 * kMostLagSeconds) lags.push_back(lag);
        }
        const double most = light ? kMostLagSeconds : std::min(kMostLagSeconds, track.refresh_s);
        if (lags.size() >= kLagSamples) return std::clamp(median(std::move(lags)), -most, most);
    }
    return 0.0;
}

InputTrack input_track(const RunView& run) {
    InputTrack track;
    const Channel* input = run.find(Signal::gearbox_input_rpm);
    const Channel* speed = run.find(Signal::engine_speed_rpm);
    if (!input || !speed) return track;
    const Samples turning = fresh(whole_of(run.log(), *input));
    const Samples engine = fresh(whole_of(run.log(), *speed));
    const std::vector<double> rpm = values_along(engine.series(), turning.times, kReachSeconds);
    const Channel* pedal = run.find(Signal::pedal_pct);
    track.times = turning.times;
    track.pedal = pedal ? values_along(run.log().series(*pedal), turning.times, kReachSeconds)
                        : std::vector<double>(turning.times.size(), NAN);
    const std::vector<double> calm = median_of_three(turning.values);
    for (std::size_t i = 0; i < calm.size(); ++i) {
        track.slip.push_back(rpm[i] > kLeastRpm ? rpm[i] - calm[i] : NAN);
        track.slope.push_back(slope_at(engine.series(), turning.times[i]));
    }
    track.refresh_s = typical_interval(track.times);
    track.lag_s = lag_of(track);
    return track;
}

/// Slip between two times, lateness taken out, by size.
Samples slip_within(const InputTrack& track, double from, double to) {
    Samples slip;
    for (std::size_t i = 0; i < track.times.size(); ++i) {
        if (track.times[i] < from || track.times[i] > to) continue;
        const double late = std::isfinite(track.slope[i]) ? track.lag_s * track.slope[i] : 0.0;
        const double value = std::abs(track.slip[i] - late);
        if (!std::isfinite(value)) continue;
        slip.times.push_back(track.times[i]);
        slip.values.push_back(value);
    }
    return slip;
}

/// Where no input speed is logged: engine speed over what road speed makes of it in that gear.
Samples slip_over_road(const RunView& run, const Excluded& excluded) {
    const Channel* channel = run.find(Signal::engine_speed_rpm);
    const Samples speed = whole_of(run.log(), *channel);
    std::vector<bool> loaded(speed.times.size(), false);
    for (std::size_t i = 0; i < loaded.size(); ++i)
        loaded[i] = std::ranges::any_of(run.pulls, [&](const Pull& pull) {
            return speed.times[i] >= pull.start_s && speed.times[i] <= pull.end_s;
        });
    const GearTrack gears = gears_along(run.log(), run.job->car, speed.times, speed.values, loaded);
    Samples slip;
    for (std::size_t i = 0; i < speed.times.size(); ++i) {
        if (speed.times[i] < excluded.start_s || speed.times[i] > excluded.end_s) continue;
        if (!std::isfinite(gears.slip[i])) continue;
        slip.times.push_back(speed.times[i]);
        slip.values.push_back(std::abs(speed.values[i] * gears.slip[i] / (1.0 + gears.slip[i])));
    }
    return slip;
}

Finding slipping(const Samples& slip, const Held& held, const Limit& limit, std::string_view against) {
    const Verdict judged = verdict(held.level, limit, Side::above);
    const double highest = slip.values[held.worst];
    Finding found = finding(slip.times[held.worst], judged.severity == Severity::clear ? held.level : highest, judged);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("engine and gearbox input differ by {:.0f} rpm at most", held.level);
        return found;
    }
    found.margin = judged.limit - highest;
    found.duration_s = time_above(slip.series(), held.worst, judged.limit);
    found.text = fmt::format(
        "the engine runs up to {:.0f} rpm away from {} for {:.1f} s under full load, {:.0f} rpm is the limit; clutch "
        "or "
        "converter gives way: no more torque before it holds",
        highest, against, found.duration_s, judged.limit);
    return found;
}

std::optional<Finding> in_pull(const InputTrack& track, const Pull& pull, const Limit& limit) {
    const Samples slip = slip_within(track, pull.start_s + kEngageSeconds, pull.end_s - kSlopeSeconds);
    const auto held = highest_held(slip.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    return slipping(slip, *held, limit, "the gearbox input");
}

bool is_clutch(const Excluded& excluded) { return excluded.reason == ExclusionReason::clutch_slip; }

bool is_fast_enough(const InputTrack& track) {
    return track.times.size() > 2 && track.refresh_s <= 1.0 / kLeastRefreshHz;
}

/// A stretch that was refused for slipping is found as well, and once: the flanks that lie in its neighbours are its.
/// A slow gearbox input may have it refused without any slip; then road speed decides.
std::optional<Finding> of_stretch(const RunView& run, const InputTrack& track, const Excluded& excluded,
                                  const Limit& limit) {
    const bool measured = is_fast_enough(track);
    const Samples slip =
        measured ? slip_within(track, excluded.start_s, excluded.end_s) : slip_over_road(run, excluded);
    const auto held = highest_held(slip.series(), kHoldSeconds);
    if (!held || verdict(held->level, limit, Side::above).severity == Severity::clear) return std::nullopt;
    Finding found = slipping(slip, *held, limit,
                             measured ? "the gearbox input"
                                      : "what road speed says in that gear (gearbox_input_rpm, often enough, would "
                                        "tell the clutch from the wheels)");
    found.log = run.index;
    return found;
}

bool beside_slip(const RunView& run, const Finding& found) {
    constexpr double kBesideSeconds = 1.0;
    return std::ranges::any_of(run.excluded, [&](const Excluded& excluded) {
        return is_clutch(excluded) && found.time_s >= excluded.start_s - kBesideSeconds &&
               found.time_s <= excluded.end_s + kBesideSeconds;
    });
}

}  // namespace

std::optional<Obstacle> gear_slip_obstacle(const RunView& run) {
    const InputTrack track = input_track(run);
    if (is_fast_enough(track)) return std::nullopt;
    const Limit& limit = run.job->limits.at("gear_slip_rpm");
    for (const Excluded& excluded : run.excluded)
        if (is_clutch(excluded) && of_stretch(run, track, excluded, limit)) return std::nullopt;
    if (!run.find(Signal::gearbox_input_rpm))
        return Obstacle{{"gearbox_input_rpm"},
                        "gearbox_input_rpm is not logged; slip of more than 5 % would have shown in road speed, less "
                        "does not"};
    return Obstacle{{"gearbox_input_rpm"},
                    fmt::format("gearbox_input_rpm is refreshed {:.1f} times a second, {:g} are needed to tell slip "
                                "from a late signal",
                                track.refresh_s > 0.0 ? 1.0 / track.refresh_s : 0.0, kLeastRefreshHz)};
}

std::vector<Finding> gear_slip(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const InputTrack track = input_track(run);
        for (const Excluded& excluded : run.excluded)
            if (is_clutch(excluded))
                if (auto found = of_stretch(run, track, excluded, limit)) findings.push_back(std::move(*found));
        if (!is_fast_enough(track)) continue;
        for (const Pull& pull : run.pulls) {
            auto found = in_pull(track, pull, limit);
            if (!found || (found->severity != Severity::clear && beside_slip(run, *found))) continue;
            found->log = run.index;
            found->pull = pull.index;
            findings.push_back(std::move(*found));
        }
    }
    return findings;
}

}  // namespace revwright
