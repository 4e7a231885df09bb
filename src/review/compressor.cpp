#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/compressor_point.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kHoldSeconds = 0.3;
constexpr double kPoorEfficiency = 0.60;  // towards choke: hot air for little pressure
constexpr double kMapSpeedSd = 0.01;      // of what the map's speed is worth

/// A figure over a pull, turned so that up is worse, as it counts (at k sigma) and as it most likely is.
struct Course {
    Samples counts, likely;
    std::optional<Held> held;
    double at(const Samples& samples) const { return samples.values[held->worst]; }
};

using Figure = std::function<double(MassFlow, double)>;

/// sign  1 where more is worse, -1 where less is
Course course_of(const PullView& view, const FittedCompressor& compressor, double sign, double own_sd,
                 const Figure& figure) {
    const double sigma = view.job().policy.sigma;
    Course course;
    for (const CompressorPoint& point : compressor_points(view, compressor)) {
        const Modelled value = spread(point, figure);
        course.likely.times.push_back(point.time_s);
        course.likely.values.push_back(sign * value.mean);
        course.counts.values.push_back(sign * value.mean + sigma * std::hypot(value.sd, own_sd * value.mean));
    }
    course.counts.times = course.likely.times;
    course.held = highest_held(course.counts.series(), kHoldSeconds);
    return course;
}

Finding modelled_finding(const Course& course, const Limit& limit, double sign) {
    const double value = sign * course.held->level;
    const Verdict judged = verdict(value, limit, sign > 0.0 ? Side::above : Side::below);
    Finding found = finding(course.counts.times[course.held->worst], value, judged);
    found.modelled = true;
    if (judged.severity == Severity::clear) return found;
    const double turned = sign * judged.limit;
    found.time_s = course.counts.times[middle_of_worst(course.counts.series(), *course.held, turned)];
    found.duration_s = time_above(course.counts.series(), course.held->worst, turned);
    return found;
}

/// Ten and fifteen percent are already a margin for what is not known: where only the spread reaches `mend`, it is a
/// watch.
void spread_alone_is_a_watch(Finding& found, const Course& course, const Limit& limit, double sign) {
    const auto likely = highest_held(course.likely.series(), kHoldSeconds);
    const Side side = sign > 0.0 ? Side::above : Side::below;
    if (found.severity == Severity::mend && limit.watch && likely &&
        verdict(sign * likely->level, limit, side).severity < Severity::mend)
        found.severity = Severity::watch;
}

std::string estimate_words(const Course& course, double sign, double sigma) {
    return fmt::format("{:.0f} % ({:.0f} % at {:g} sigma)", sign * course.at(course.likely), sign * course.held->level,
                       sigma);
}

/// Whether the map's fastest line is passed and kept so: then its speed is only the least that fits.
bool above_map(const PullView& view, const FittedCompressor& compressor) {
    Samples above;
    for (const CompressorPoint& point : compressor_points(view, compressor)) {
        above.times.push_back(point.time_s);
        const CompressorPlace place = place_in(*compressor.map, point.flow, point.ratio);
        above.values.push_back(place.range == CompressorPlace::Range::faster ? 1.0 : 0.0);
    }
    const auto held = highest_held(above.series(), kHoldSeconds);
    return held && held->level > 0.0;
}

std::optional<Finding> logged_speed(const PullView& view, double max_speed_rpm, const Limit& limit) {
    Samples speed = view.samples(Signal::turbo_speed_rpm);
    speed.values = median_of_three(speed.values);
    for (double& value : speed.values) value *= 100.0 / max_speed_rpm;
    const auto held = highest_held(speed.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    const Verdict judged = verdict(held->level, limit, Side::above);
    Finding found = finding(speed.times[held->worst], held->level, judged);
    found.text = fmt::format("the turbocharger turns at {:.0f} % of its highest speed, {:.0f} % is the limit",
                             held->level, judged.limit);
    if (judged.severity == Severity::clear) return found;
    found.time_s = speed.times[middle_of_worst(speed.series(), *held, judged.limit)];
    found.duration_s = time_above(speed.series(), held->worst, judged.limit);
    found.text = fmt::format(
        "the turbocharger turned at {:.0f} % of its highest speed ({:.0f} rpm) for {:.1f} s, {:.0f} % is the limit; "
        "less "
        "boost here, or less restriction before the compressor",
        held->level, max_speed_rpm, found.duration_s, judged.limit);
    return found;
}

}  // namespace

std::optional<Obstacle> no_compressor_map(const RunView& run) {
    const Hardware* turbo = turbocharger_of(*run.job);
    if (!turbo) return Obstacle{{}, "the job sheet names no turbocharger with its compressor map"};
    if (!turbo->compressor) return Obstacle{{}, "the compressor map the job sheet names was not read"};
    if (!turbo->reference_temp_k || !turbo->reference_pressure_kpa)
        return Obstacle{{}, "the job sheet gives no reference state of the compressor map"};
    if (run.driven.standard)
        return Obstacle{{}, "driven with the standard image, so perhaps with another compressor than the map's"};
    if (!run.ambient_temp_c())
        return Obstacle{{"ambient_temp_c"}, "outside temperature is neither logged nor stated in its [[run]]"};
    if (!run.find(Signal::boost_pressure_kpa) && !run.find(Signal::throttle_pct))
        return Obstacle{{"boost_pressure_kpa"}, "manifold pressure can not stand in for boost without the throttle"};
    return std::nullopt;
}

std::optional<Obstacle> no_shaft_speed(const RunView& run) {
    const Hardware* turbo = turbocharger_of(*run.job);
    if (!turbo || !turbo->max_speed_rpm)
        return Obstacle{{}, "the job sheet names no turbocharger with its highest speed"};
    if (run.find(Signal::turbo_speed_rpm)) return std::nullopt;
    if (auto obstacle = no_compressor_map(run)) {
        obstacle->text += ", and turbo_speed_rpm is not logged";
        obstacle->missing.emplace(obstacle->missing.begin(), "turbo_speed_rpm");
        return obstacle;
    }
    const bool boost = run.find(Signal::boost_pressure_kpa) || run.find(Signal::manifold_pressure_kpa);
    const bool air =
        run.find(Signal::air_mass_flow_g_s) || run.find(Signal::air_per_stroke_mg) || run.find(Signal::charge_pct);
    if (boost && air) return std::nullopt;
    return Obstacle{{"turbo_speed_rpm"}, "turbo_speed_rpm is not logged, nor boost and air flow to work it out from"};
}

std::optional<Finding> compressor_surge(const PullView& view, const Check&, const Limit& limit) {
    const auto compressor = fitted_compressor(*view.run);
    if (!compressor) return std::nullopt;
    const Course course = course_of(view, *compressor, -1.0, 0.0, [&](MassFlow flow, double ratio) {
        return 100.0 * surge_margin(*compressor->map, flow, ratio);
    });
    if (!course.held) return std::nullopt;
    Finding found = modelled_finding(course, limit, -1.0);
    spread_alone_is_a_watch(found, course, limit, -1.0);
    const std::string words = estimate_words(course, -1.0, view.job().policy.sigma);
    if (found.severity == Severity::clear)
        found.text = fmt::format("the compressor's flow stays {} clear of its surge line", words);
    else
        found.text = fmt::format(
            "by its map the compressor's flow was {} clear of the surge line for {:.1f} s, {:.0f} % is the least; less "
            "boost at this speed",
            words, found.duration_s, found.limit);
    return found;
}

std::optional<Finding> compressor_choke(const PullView& view, const Check&, const Limit& limit) {
    const auto compressor = fitted_compressor(*view.run);
    if (!compressor) return std::nullopt;
    const CompressorMap& map = *compressor->map;
    const Course course = course_of(view, *compressor, 1.0, 0.0, [&](MassFlow flow, double ratio) {
        return 100.0 * flow.si / place_in(map, flow, ratio).choke_flow_kg_s;
    });
    if (!course.held) return std::nullopt;
    Finding found = modelled_finding(course, limit, 1.0);
    spread_alone_is_a_watch(found, course, limit, 1.0);
    const std::string words = estimate_words(course, 1.0, view.job().policy.sigma);
    Samples poor;
    for (const CompressorPoint& point : compressor_points(view, *compressor)) {
        const CompressorPlace place = place_in(map, point.flow, point.ratio);
        poor.times.push_back(point.time_s);
        poor.values.push_back(place.along > 0.5 ? -place.efficiency : -1.0);
    }
    const auto hot = highest_held(poor.series(), kHoldSeconds);
    if (found.severity == Severity::clear && hot && hot->level > -kPoorEfficiency) {
        found.severity = Severity::watch;
        found.time_s = poor.times[hot->worst];
        found.duration_s = time_above(poor.series(), hot->worst, -kPoorEfficiency);
        found.value = -100.0 * hot->level, found.limit = 100.0 * kPoorEfficiency;
        found.margin = found.value - found.limit;
        found.text = fmt::format(
            "by its map the compressor's efficiency falls to {:.0f} % towards choke for {:.1f} s, {:.0f} % is the "
            "least; "
            "more boost here makes hot air: a larger compressor, or less boost",
            found.value, found.duration_s, found.limit);
    } else if (found.severity == Severity::clear) {
        found.text = fmt::format("the compressor passes {} of its choke flow", words);
    } else {
        found.text = fmt::format(
            "by its map the compressor passed {} of its choke flow for {:.1f} s, {:.0f} % is the limit; less boost at "
            "this "
            "speed, or a larger compressor",
            words, found.duration_s, found.limit);
    }
    return found;
}

std::optional<Finding> compressor_speed(const PullView& view, const Check&, const Limit& limit) {
    const Hardware* turbo = turbocharger_of(view.job());
    if (!turbo || !turbo->max_speed_rpm) return std::nullopt;
    if (view.run->find(Signal::turbo_speed_rpm)) return logged_speed(view, *turbo->max_speed_rpm, limit);
    const auto compressor = fitted_compressor(*view.run);
    if (!compressor) return std::nullopt;
    const CompressorMap& map = *compressor->map;
    const Course course = course_of(view, *compressor, 1.0, kMapSpeedSd, [&](MassFlow flow, double ratio) {
        const CompressorPlace place = place_in(map, flow, ratio);
        return 100.0 * shaft_speed_rpm(place.map_speed_rpm, compressor->inlet, compressor->reference) /
               *turbo->max_speed_rpm;
    });
    if (!course.held) return std::nullopt;
    Finding found = modelled_finding(course, limit, 1.0);
    const std::string words = estimate_words(course, 1.0, view.job().policy.sigma);
    const bool beyond = above_map(view, *compressor);
    if (beyond && found.severity == Severity::clear) found.severity = Severity::watch;
    const char* at_least = beyond ? " or more, since it left the map upwards" : "";
    if (found.severity == Severity::clear)
        found.text = fmt::format("by its map the turbocharger turns at {} of its highest speed{}", words, at_least);
    else
        found.text = fmt::format(
            "by its map the turbocharger turned at {} of its highest speed{}, for {:.1f} s, {:.0f} % is the limit; "
            "less "
            "boost here, or less restriction before the compressor",
            words, at_least, found.duration_s, found.limit);
    return found;
}

}  // namespace revwright
