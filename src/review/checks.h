#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "model/limits.h"
#include "review/run_view.h"

namespace revwright {

struct Check;

/// What one check says of one pull: a finding with severity, time_s, duration_s, value, limit, margin and text set, and
/// levers where the row's own do not fit. Nothing where the pull does not let it judge.
using JudgePull = std::optional<Finding> (*)(const PullView&, const Check&, const Limit&);
/// The same over all logs at once; the findings say which pull and log they are of.
using JudgeAll = std::vector<Finding> (*)(std::span<const RunView>, const Check&, const Limit&);

/// Why a log can not carry a check though its channels are there: what is missing or wrong, in a sentence, and the
/// channels that would cure it (none: no channel would).
struct Obstacle {
    std::vector<std::string> missing = {};
    std::string text = {};
};
/// Nothing where the log can be judged.
using FindObstacle = std::optional<Obstacle> (*)(const RunView&);

/// One rule. A new check is a new row in checks.cpp.
struct Check {
    std::string_view id;
    std::string_view quantity = {};  // what is measured, for docs and texts
    std::string_view limit = {};     // its name in the job's limits; empty: the check brings its own
    Standing standing = Standing::where_fitted;
    std::vector<std::vector<Signal>> needs = {};  // one channel of each group
    std::vector<std::string> levers = {};         // roles that may cure it, or "hardware"
    bool boosted_only = false;
    JudgePull judge_pull = nullptr;  // one of the two
    JudgeAll judge_all = nullptr;
    FindObstacle obstacle = nullptr;  // asked where no channel is missing
    bool only_where_limited = false;  // runs only where the job sets its limit
};

std::span<const Check> all_checks();

/// Which way is bad.
enum class Side { above, below };

/// The worst threshold that `value` reaches (above: at or over it; below: under it), and the first one where it reaches
/// none. `margin` is the distance to it, positive inside.
struct Verdict {
    Severity severity = Severity::clear;
    double limit = 0.0;
    double margin = 0.0;
};
Verdict verdict(double value, const Limit& limit, Side side);

/// A finding with the numbers of a verdict; the text is still to be written.
Finding finding(double time_s, double value, const Verdict& verdict);

/// The judges, by topic.
std::optional<Finding> lambda_lean(const PullView&, const Check&, const Limit&);
std::optional<Finding> lambda_follow(const PullView&, const Check&, const Limit&);
std::vector<Finding> knock_event(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> knock_repeated(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> knock_cylinder(std::span<const RunView>, const Check&, const Limit&);
std::optional<Finding> boost_steady(const PullView&, const Check&, const Limit&);
std::optional<Finding> boost_overshoot(const PullView&, const Check&, const Limit&);
std::optional<Finding> boost_oscillation(const PullView&, const Check&, const Limit&);
std::optional<Obstacle> boost_too_slow(const RunView&);
std::optional<Finding> wastegate_saturated(const PullView&, const Check&, const Limit&);
std::optional<Obstacle> no_boost_before_throttle(const RunView&);
std::optional<Finding> intake_rise(const PullView&, const Check&, const Limit&);
std::vector<Finding> air_consistency(std::span<const RunView>, const Check&, const Limit&);
std::optional<Finding> compressor_surge(const PullView&, const Check&, const Limit&);
std::optional<Finding> compressor_choke(const PullView&, const Check&, const Limit&);
std::optional<Finding> compressor_speed(const PullView&, const Check&, const Limit&);
std::optional<Obstacle> no_compressor_map(const RunView&);
std::optional<Obstacle> no_shaft_speed(const RunView&);
std::optional<Finding> throttle_closing(const PullView&, const Check&, const Limit&);
std::optional<Finding> fuel_pressure(const PullView&, const Check&, const Limit&);
std::optional<Finding> intake_temperature(const PullView&, const Check&, const Limit&);
std::optional<Finding> exhaust_temperature(const PullView&, const Check&, const Limit&);
std::optional<Finding> coolant_window(const PullView&, const Check&, const Limit&);
std::vector<Finding> oil_window(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> sensor_range(std::span<const RunView>, const Check&, const Limit&);
std::optional<Obstacle> no_end_of_range(const RunView&);
std::vector<Finding> log_quality(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> image_mismatch(std::span<const RunView>, const Check&, const Limit&);
std::optional<Obstacle> no_image_to_match(const RunView&);
std::vector<Finding> coverage(std::span<const RunView>, const Check&, const Limit&);
std::optional<Finding> injector_time(const PullView&, const Check&, const Limit&);
std::optional<Finding> torque_capacity(const PullView&, const Check&, const Limit&);
std::vector<Finding> torque_intervention(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> speed_limiter(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> gear_slip(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> shift_time(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> battery(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> fuel_trim(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> misfire(std::span<const RunView>, const Check&, const Limit&);
std::vector<Finding> cold_start(std::span<const RunView>, const Check&, const Limit&);

/// What keeps a log from carrying them.
std::optional<Obstacle> torque_capacity_obstacle(const RunView&);
std::optional<Obstacle> gear_slip_obstacle(const RunView&);
std::optional<Obstacle> shift_time_obstacle(const RunView&);
std::optional<Obstacle> battery_obstacle(const RunView&);
std::optional<Obstacle> fuel_trim_obstacle(const RunView&);
std::optional<Obstacle> cold_start_obstacle(const RunView&);

}  // namespace revwright
