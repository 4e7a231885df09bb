#include "power/road_estimate.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "power/curve_grid.h"
#include "power/fitted_torque.h"
#include "power/pull_speeds.h"
#include "power/quick_torque.h"
#include "power/road_knowledge.h"
#include "power/road_rise.h"
#include "review/directions.h"
#include "review/places.h"

namespace revwright {
namespace {

// Our choice, common practice, no source.
constexpr double kPullEffect = 0.007;      // share by which the torque of one pull differs from the next: heat, gusts
constexpr double kSatelliteScale = 0.002;  // share
constexpr Uncertain kSatelliteDelay{0.1, 0.1};  // s
constexpr double kAcrossSlope = 0.005;          // of a road that lies across the others
constexpr double kMostSpread = 0.08;            // sd of torque over torque at the best point: beyond, no figure

/// Puts the pulls together, one after the other, and keeps what became of each.
class Assembly {
public:
    Assembly(const JobSheet& job, std::span<const RunView> runs, std::span<const ImageRuns> sets,
             const std::optional<CoastedRoad>& coasted)
        : job_(job), runs_(runs), sets_(sets), coasted_(coasted) {}

    RoadEstimate run() {
        for (std::size_t set = 0; set < sets_.size(); ++set)
            for (const std::size_t index : sets_[set].runs)
                if (on_road(runs_[index])) take_run(runs_[index], set);
        if (drive_.pulls.empty()) return refuse_all(why_no_pull());
        know();
        if (const std::string rise = both_ways_ ? "" : unknown_rise(views_, reviewed_); !rise.empty())
            return refuse_all(rise);
        auto fit = fit_road(drive_);
        if (!fit) return refuse_all(fit.error().what);
        found_.fit = std::move(*fit);
        found_.drive = std::move(drive_);
        for (const auto& [set, curve] : found_.curve_of_set) draw(set, curve);
        add_quick_views();
        return std::move(found_);
    }

private:
    void take_run(const RunView& run, std::size_t set) {
        for (const Pull& pull : run.pulls) {
            if (pull.kind != PullKind::acceleration) continue;
            PowerPull entry{
                .pull = pull.index, .log = run.index, .set = set, .direction = pull.direction, .gear = pull.gear};
            if (!pull.gear) {
                entry.left_out = "its gear is not known: neither a gear nor a road speed is logged";
            } else if (auto speeds = speeds_of({&run, pull}); !speeds) {
                entry.left_out = speeds.error().what;
            } else {
                entry.speed_from_rpm = speeds->from_rpm, entry.speed_to_rpm = speeds->to_rpm;
                entry.speed_of = speeds->speed_of;
                used_.push_back(found_.pulls.size());
                add(run, pull, set, std::move(*speeds));
            }
            found_.pulls.push_back(std::move(entry));
        }
    }

    void add(const RunView& run, const Pull& pull, std::size_t set, PullSpeeds speeds) {
        const auto curve = found_.curve_of_set.try_emplace(set, found_.curve_of_set.size()).first->second;
        drive_.pulls.push_back(
            {.overall_ratio = job_.car.gear_ratios[static_cast<std::size_t>(*pull.gear - 1)] * job_.car.final_drive,
             .curve = curve,
             .engine_rad_s = std::move(speeds.engine_rad_s),
             .road_m_per_s = std::move(speeds.satellite_m_per_s)});
        reviewed_.push_back(pull);
        views_.push_back(&run);
    }

    std::string why_no_pull() const {
        std::string why = "no full-load pull on the road can be used";
        for (const PowerPull& pull : found_.pulls)
            if (!pull.left_out.empty()) return why + fmt::format(": pull {} {}", pull.pull, pull.left_out);
        for (const RunView& run : runs_)
            for (const QualityNote& note : run.log().quality)
                if (note.kind == "time-missing" || note.kind == "time-coarse") return why + ": " + note.text;
        return why + ": the logs hold none";
    }

    RoadEstimate refuse_all(std::string why) {
        found_.refused = std::move(why);
        found_.curve_of_set.clear();
        for (const std::size_t index : used_)
            if (found_.pulls[index].left_out.empty()) found_.pulls[index].left_out = "there is no figure to use it for";
        return std::move(found_);
    }

    /// Ways, runs, and what is known of car and road beforehand.
    void know() {
        find_ways();
        const double ratio = drive_.pulls.front().overall_ratio;
        drive_.car = car_of(job_, air_of(*views_.front()), ratio, coasted_, found_.assumptions);
        drive_.slope = slope_of_road(used_runs(), both_ways_, found_.assumptions);
        drive_.pull_effect = {0.0, kPullEffect};
        if (std::ranges::any_of(drive_.pulls, [](const RoadPull& pull) { return !pull.road_m_per_s.empty(); })) {
            drive_.road_speed_scale = {1.0, kSatelliteScale};
            drive_.road_speed_delay_s = kSatelliteDelay;
        }
        drive_.curves = found_.curve_of_set.size();
    }

    std::vector<RunView> used_runs() const {
        std::vector<RunView> used;
        for (const RunView* run : views_)
            if (used.empty() || used.back().index != run->index) used.push_back(*run);
        return used;
    }

    double usual_occupants() const {
        for (const RunView* run : views_)
            if (run->driven.run && run->driven.run->occupants_kg) return *run->driven.run->occupants_kg;
        return 0.0;
    }

    /// A run of the fit for each log, and one for each pull that lies across: it shares no slope and no wind.
    void find_ways() {
        std::map<std::size_t, std::size_t> run_of_log;
        for (std::size_t i = 0; i < drive_.pulls.size(); ++i) {
            const RunView& view = *views_[i];
            const bool same_way = reviewed_[i].direction == reviewed_.front().direction;
            const bool back = !same_way && opposite(reviewed_.front(), reviewed_[i], reviewed_);
            RoadRun run = run_of(view, view.driven.run && view.driven.run->occupants_kg ? usual_occupants() : 0.0);
            if (same_way || back) {
                both_ways_ = both_ways_ || back;
                drive_.pulls[i].along = back ? -1.0 : 1.0;
                const auto [place, is_new] = run_of_log.try_emplace(view.index, drive_.runs.size());
                if (is_new) drive_.runs.push_back(run);
                drive_.pulls[i].run = place->second;
                continue;
            }
            run.along = 0.0;
            run.slope.sd = kAcrossSlope;
            drive_.pulls[i].run = drive_.runs.size();
            drive_.runs.push_back(run);
        }
    }

    void draw(std::size_t set, std::size_t curve) {
        double low = 1e9, high = 0.0;
        for (std::size_t k = 0; k < used_.size(); ++k) {
            if (found_.drive->pulls[k].curve != curve) continue;
            const PowerPull& pull = found_.pulls[used_[k]];
            low = std::min(low, pull.speed_from_rpm), high = std::max(high, pull.speed_to_rpm);
        }
        const std::vector<double> speeds = curve_grid(low, high);
        if (speeds.empty()) {
            found_.refused_by_set[set] = "its pulls cover too few engine speeds";
            return;
        }
        TorqueEstimate estimate = torque_of(*found_.fit, curve, speeds);
        const double spread =
            (estimate.covariance.diagonal().cwiseSqrt().array() / estimate.torque_nm.array().abs()).minCoeff();
        if (!(spread < kMostSpread)) {
            found_.refused_by_set[set] = fmt::format(
                "torque is known to no better than {:.0f} % (one standard deviation) from these pulls", 100.0 * spread);
            return;
        }
        found_.by_set.emplace(set, std::move(estimate));
    }

    void add_quick_views() {
        for (std::size_t k = 0; k < used_.size(); ++k)
            found_.pulls[used_[k]].quick_view = quick_torque(*found_.drive, k);
    }

    const JobSheet& job_;
    std::span<const RunView> runs_;
    std::span<const ImageRuns> sets_;
    const std::optional<CoastedRoad>& coasted_;
    RoadEstimate found_;
    RoadDrive drive_;
    std::vector<std::size_t> used_;      // into found_.pulls, as drive_.pulls
    std::vector<Pull> reviewed_;         // likewise
    std::vector<const RunView*> views_;  // likewise
    bool both_ways_ = false;
};

}  // namespace

RoadEstimate road_estimate(const JobSheet& job, std::span<const RunView> runs, std::span<const ImageRuns> sets,
                           const std::optional<CoastedRoad>& coasted) {
    return Assembly(job, runs, sets, coasted).run();
}

}  // namespace revwright
