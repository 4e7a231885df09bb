#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <span>

#include "review/boost_error.h"
#include "review/checks.h"
#include "review/refresh.h"
#include "review/swing.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kLeastHz = 8.0;        // boost renewed less often does not show how it swings
constexpr double kVisibleShare = 0.45;  // of the rate: faster swings show as something else
constexpr double kHighestHz = 10.0;     // by the contract
constexpr double kClearKpa = 5.0;       // smaller swings are not looked for
constexpr double kOwnShare = 0.5;       // of the swing must be boost's own, not the target's
constexpr double kGapSeconds = 0.3;     // ends a stretch
constexpr double kNewShare = 0.6;       // of the renewal period apart: an equal value is a new one

const Channel* boost_channel(const RunView& run) {
    const Channel* boost = run.find(Signal::boost_pressure_kpa);
    return boost ? boost : run.find(Signal::manifold_pressure_kpa);
}

/// How often boost is renewed in these pulls, per second.
double rate_in(std::span<const Pull> pulls, const RunView& run, const Channel& boost) {
    std::vector<Series> parts;
    for (const Pull& pull : pulls) parts.push_back(slice(run.log().series(boost), pull.start_s, pull.end_s));
    if (const auto renewed = renewal_of(parts).refresh_hz) return *renewed;
    const double step = parts.empty() ? 0.0 : typical_interval(parts.front().times);
    return step > 0.0 ? 1.0 / step : 0.0;
}

/// A stretch without gap, build-up or closing throttle.
struct Stretch {
    Samples boost, error;
};

/// Boost as often as it is renewed: a repeated value under a moving target would swing by itself.
Samples renewed(const Samples& boost, double period) {
    const double rows = typical_interval(boost.times);
    if (period < 1.5 * rows) return boost;
    Samples found;
    for (std::size_t i = 0; i < boost.times.size(); ++i) {
        const bool repeats = !found.times.empty() && boost.values[i] == found.values.back() &&
                             boost.times[i] - found.times.back() < (1.0 + kNewShare) * period;
        if (repeats) continue;
        found.times.push_back(boost.times[i]);
        found.values.push_back(boost.values[i]);
    }
    return found;
}

std::vector<Stretch> stretches(const PullView& view, double period, double from_s) {
    const Samples boost = renewed(view.boost(), period);
    const Channel* target = view.run->find(Signal::boost_target_kpa);
    const std::vector<double> wanted = values_along(view.run->log().series(*target), boost.times, 1.0);
    const std::vector<bool> closed = throttled_at(view, boost.times);
    std::vector<Stretch> found;
    double last = -INFINITY;
    for (std::size_t i = 0; i < boost.times.size(); ++i) {
        if (boost.times[i] < from_s || closed[i] || std::isnan(wanted[i])) continue;
        if (boost.times[i] - last > std::max(kGapSeconds, 2.5 * period)) found.emplace_back();
        last = boost.times[i];
        found.back().boost.times.push_back(last);
        found.back().boost.values.push_back(boost.values[i]);
        found.back().error.times.push_back(last);
        found.back().error.values.push_back(boost.values[i] - wanted[i]);
    }
    return found;
}

/// The strongest swing of boost about its target that boost itself shows too.
Swing swing_of(const Stretch& stretch, double highest_hz, double at_least) {
    const Swing swing = strongest_swing(stretch.error.series(), highest_hz, at_least);
    if (!swing.found()) return {};
    const Swing own = strongest_swing(stretch.boost.series(), highest_hz, kOwnShare * swing.peak_to_peak);
    return own.found() && own.from_s < swing.to_s && own.to_s > swing.from_s ? swing : Swing{};
}

}  // namespace

std::optional<Obstacle> boost_too_slow(const RunView& run) {
    const Channel* boost = boost_channel(run);
    if (!boost) return std::nullopt;
    const double rate = rate_in(run.pulls, run, *boost);
    if (rate >= kLeastHz || run.pulls.empty()) return std::nullopt;
    const std::string name = to_string(*boost->key);
    return Obstacle{{name},
                    fmt::format("{} is renewed {:.1f} times a second, and {:.0f} are needed to see it swing", name,
                                rate, kLeastHz)};
}

std::optional<Finding> boost_oscillation(const PullView& view, const Check&, const Limit& limit) {
    const Channel* channel = boost_channel(*view.run);
    const BoostError boost = boost_error(view);
    if (!channel || !boost.built_up) return std::nullopt;
    const double rate = rate_in({&view.pull, 1}, *view.run, *channel);
    if (rate <= 0.0) return std::nullopt;
    const double highest = std::min(kHighestHz, kVisibleShare * rate);
    const double first = limit.watch.value_or(limit.mend.value_or(kClearKpa));
    Swing worst;
    for (const Stretch& stretch : stretches(view, 1.0 / rate, boost.error.times[*boost.built_up])) {
        const Swing swing = swing_of(stretch, highest, std::min(kClearKpa, first));
        if (swing.peak_to_peak > worst.peak_to_peak) worst = swing;
    }
    const double at = worst.found() ? worst.worst_s : boost.error.times[*boost.built_up];
    const Verdict judged = verdict(worst.peak_to_peak, limit, Side::above);
    Finding found = finding(at, worst.peak_to_peak, judged);
    if (judged.severity == Severity::clear) {
        found.text = worst.found() ? fmt::format("boost swings by {:.1f} kPa at most", worst.peak_to_peak)
                                   : fmt::format("boost does not swing, as far as {:.0f} Hz can be seen", highest);
        return found;
    }
    found.duration_s = worst.to_s - worst.from_s;
    found.text = fmt::format(
        "boost swings around its target by {:.0f} kPa from peak to peak, {:.1f} times a second for {:.1f} s, {:.0f} "
        "kPa "
        "is the limit; the boost control answers too sharply here, or the wastegate sticks",
        worst.peak_to_peak, worst.hertz, found.duration_s, judged.limit);
    return found;
}

}  // namespace revwright
