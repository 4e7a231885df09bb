#include "power/coasting.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "physics/air.h"
#include "physics/vehicle.h"
#include "power/pull_speeds.h"
#include "power/road_knowledge.h"
#include "review/directions.h"
#include "review/places.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kKmHPerMs = 3.6;
// All our choice, common practice, no source.
constexpr double kGapSeconds = 2.0;      // a hole in the log this long ends a stretch
constexpr double kReachSeconds = 1.0;    // from a reading of the engine to one of the road
constexpr double kBrakingSeconds = 2.0;  // over which slowing is told from noise
constexpr double kBrakingShare = 1.5;    // of the resistance that the job sheet lets expect, and ...
constexpr double kSteepest = 0.03;       // ... a slope: what slows the car more is a brake
constexpr double kFasterAgain = 0.5;     // m/s above the lowest so far
constexpr double kIdleShare = 1.3;       // of the lowest engine speed of the stretch: as an idling engine wanders

/// Road speed and, at its times, engine speed and gear; NaN where they are not logged.
struct CoastTrack {
    std::vector<double> times, road, engine, gear;
};

std::optional<CoastTrack> track_of(const RunView& run, const Channel& speed) {
    const Channel* engine = run.find(Signal::engine_speed_rpm);
    if (engine == nullptr) return std::nullopt;
    const Samples all = samples_within(run.log(), speed, -INFINITY, INFINITY);
    Samples road = renewed(speed, all);
    for (double& value : road.values) value /= kKmHPerMs;
    CoastTrack track{std::move(road.times), std::move(road.values), {}, {}};
    track.engine = values_along(run.log().series(*engine), track.times, kReachSeconds);
    const Channel* gear = run.find(Signal::gear);
    track.gear = gear ? held_along(run.log().series(*gear), track.times, kReachSeconds)
                      : std::vector<double>(track.times.size(), NAN);
    return track;
}

class CoastSearch {
public:
    CoastSearch(const JobSheet& job, Density air, const CoastTrack& track) : track_(track) {
        const Car& car = job.car;
        const double tallest = *std::ranges::min_element(car.gear_ratios) * car.final_drive;
        rpm_per_m_per_s_ = 60.0 * tallest / car.rolling_circumference_m;
        const RoadLoad load = told_load(job, air);
        // As a deceleration, per kilogram.
        a_ = load.a.si / car.mass_kg, b_ = load.b.si / car.mass_kg, c_ = load.c.si / car.mass_kg;
    }

    /// First and last index of each stretch.
    std::vector<std::pair<std::size_t, std::size_t>> run() {
        for (std::size_t i = 0; i < track_.times.size(); ++i) {
            if (open_ && !goes_on(i)) close(i);
            if (!open_ && neutral(i) && track_.road[i] > kSlowestCoast && !brakes(i)) open(i);
            if (!open_) continue;
            slowest_ = std::min(slowest_, track_.road[i]);
            idle_ = std::min(idle_, track_.engine[i]);
        }
        if (open_) close(track_.times.size());
        return std::move(found_);
    }

private:
    bool out_of_gear(std::size_t i) const { return !(track_.gear[i] > 0.0); }
    bool neutral(std::size_t i) const {
        return out_of_gear(i) && track_.engine[i] < kNeutralShare * rpm_per_m_per_s_ * track_.road[i];
    }

    bool goes_on(std::size_t i) const {
        return track_.times[i] - track_.times[i - 1] < kGapSeconds && out_of_gear(i) &&
               (neutral(i) || track_.engine[i] < kIdleShare * idle_) && track_.road[i] > kSlowestCoast &&
               track_.road[i] < slowest_ + kFasterAgain && !brakes(i);
    }

    /// Whether the car slows from here on by more than the road does.
    bool brakes(std::size_t i) const {
        const auto later = std::ranges::lower_bound(track_.times, track_.times[i] + kBrakingSeconds);
        if (later == track_.times.end()) return false;
        const auto k = static_cast<std::size_t>(later - track_.times.begin());
        const double seconds = track_.times[k] - track_.times[i], v = track_.road[i];
        if (seconds > 2.0 * kBrakingSeconds) return false;
        const double most = kBrakingShare * (a_ + (b_ + c_ * v) * v) + kSteepest * kGravity.si;
        return v - track_.road[k] > most * seconds;
    }

    void open(std::size_t i) {
        open_ = true, first_ = i;
        slowest_ = track_.road[i], idle_ = track_.engine[i];
    }

    void close(std::size_t behind) {
        open_ = false;
        const std::size_t last = behind - 1;
        const bool long_enough = track_.times[last] - track_.times[first_] >= kLeastCoastSeconds;
        if (long_enough && track_.road[first_] - track_.road[last] >= kLeastCoastDrop)
            found_.emplace_back(first_, last);
    }

    const CoastTrack& track_;
    double rpm_per_m_per_s_ = 0.0, a_ = 0.0, b_ = 0.0, c_ = 0.0;
    bool open_ = false;
    std::size_t first_ = 0;
    double slowest_ = 0.0, idle_ = 0.0;
    std::vector<std::pair<std::size_t, std::size_t>> found_;
};

/// The ways the stretches went, told as those of pulls.
void name_ways(const RunView& run, std::vector<CoastStretch>& stretches) {
    RunView as_pulls = run;
    as_pulls.pulls.clear();
    for (const CoastStretch& each : stretches)
        as_pulls.pulls.push_back(
            {.index = as_pulls.pulls.size(), .log = run.index, .start_s = each.what.start_s, .end_s = each.what.end_s});
    name_directions({&as_pulls, 1});
    for (std::size_t i = 0; i < stretches.size(); ++i) {
        stretches[i].what.direction = as_pulls.pulls[i].direction;
        stretches[i].heading_deg = as_pulls.pulls[i].heading_deg;
    }
}

}  // namespace

std::vector<CoastStretch> coasting_of(const RunView& run) {
    if (!on_road(run) || run.job->car.gear_ratios.empty()) return {};
    const Channel* satellite = run.find(Signal::gnss_speed_km_h);
    const Channel* speed = satellite ? satellite : run.find(Signal::vehicle_speed_km_h);
    if (speed == nullptr) return {};
    const auto track = track_of(run, *speed);
    if (!track) return {};
    std::vector<CoastStretch> stretches;
    for (const auto& [first, last] : CoastSearch(*run.job, air_of(run), *track).run()) {
        if (!clock_fault(run.log(), track->times[first], track->times[last]).empty()) continue;
        CoastStretch stretch{.what = {.log = run.index,
                                      .start_s = track->times[first],
                                      .end_s = track->times[last],
                                      .from_km_h = kKmHPerMs * track->road[first],
                                      .to_km_h = kKmHPerMs * track->road[last],
                                      .speed_of = to_string(speed->key.value())}};
        const auto part = [first, last](const std::vector<double>& all) {
            return std::vector<double>(all.begin() + static_cast<std::ptrdiff_t>(first),
                                       all.begin() + static_cast<std::ptrdiff_t>(last) + 1);
        };
        stretch.speed_m_per_s = {part(track->times), part(track->road)};
        stretches.push_back(std::move(stretch));
    }
    name_ways(run, stretches);
    return stretches;
}

}  // namespace revwright
