#include <algorithm>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/pulls.h"
#include "review/settled_exhaust.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kColdCoolantC = 75.0;  // a pull from here up, by the contract

/// Hottest reading, single wild samples left out, against the limit.
struct Hottest {
    Samples samples;
    std::size_t at = 0;
    Verdict judged;
};

std::optional<Hottest> hottest(const PullView& view, Signal signal, const Limit& limit) {
    Hottest hot{view.samples(signal), 0, {}};
    if (hot.samples.times.empty()) return std::nullopt;
    hot.samples.values = median_of_three(hot.samples.values);
    hot.at = static_cast<std::size_t>(std::ranges::max_element(hot.samples.values) - hot.samples.values.begin());
    hot.judged = verdict(hot.samples.values[hot.at], limit, Side::above);
    return hot;
}

Finding hot_finding(const Hottest& hot, std::string_view what, std::string_view cure) {
    const double value = hot.samples.values[hot.at];
    Finding found = finding(hot.samples.times[hot.at], value, hot.judged);
    if (hot.judged.severity == Severity::clear) {
        found.text = fmt::format("{} reaches {:.0f} C, {:.0f} C is the limit", what, value, hot.judged.limit);
        return found;
    }
    found.duration_s = time_above(hot.samples.series(), hot.at, hot.judged.limit);
    found.text = fmt::format("{} reached {:.0f} C, {:.0f} C is the limit; {}", what, value, hot.judged.limit, cure);
    return found;
}

/// Where the exhaust was heading at its worst, at k sigma.
std::optional<Finding> settled_finding(const PullView& view, const Limit& limit, const std::string& note) {
    const auto settled = settled_exhaust(view);
    if (!settled || !limit.mend) return std::nullopt;
    const double sigma = view.job().policy.sigma;
    const double value = settled->mean_c + sigma * settled->sd_k;
    Limit mend = limit;
    mend.stop = mend.watch = std::nullopt;
    Finding found = finding(settled->time_s, value, verdict(value, mend, Side::above));
    found.modelled = true;
    // Too short a pull to tell: the spread alone asks for a longer one, not for a change.
    if (!settled->sure && found.severity == Severity::mend && settled->mean_c < *limit.mend)
        found.severity = Severity::watch;
    found.text = fmt::format(
        "the exhaust would settle near {:.0f} C ({:.0f} C at {:g} sigma) if full load stayed here, estimated from how "
        "the "
        "probe rises; {:.0f} C is the limit{}",
        settled->mean_c, value, sigma, found.limit, note);
    return found;
}

/// Watch where a pull began below the window.
Finding too_cold(double time_s, double value, double limit, std::string_view what) {
    Finding found = finding(time_s, value, {Severity::watch, limit, value - limit});
    found.text = fmt::format("{} was {:.0f} C when full load began; {:.0f} C is the least", what, value, limit);
    return found;
}

void place(Finding& found, const RunView& run, std::optional<std::size_t> pull) {
    found.log = run.index;
    found.pull = pull;
}

}  // namespace

std::optional<Finding> intake_temperature(const PullView& view, const Check&, const Limit& limit) {
    const auto hot = hottest(view, Signal::intake_temp_c, limit);
    if (!hot) return std::nullopt;
    return hot_finding(*hot, "intake air", "the charge cooler is soaked or too small: let it cool, or less boost");
}

std::optional<Finding> exhaust_temperature(const PullView& view, const Check&, const Limit& limit) {
    const Channel* channel = view.run->find(Signal::exhaust_temp_c);
    const bool behind = channel && !channel->before_turbine;
    const std::string note = behind ? "; the probe sits behind the turbine, the limit is meant before it" : "";
    Limit stop = limit;
    if (limit.stop) stop.mend = stop.watch = std::nullopt;
    const auto hot = hottest(view, Signal::exhaust_temp_c, stop);
    if (!hot) return std::nullopt;
    if (hot->judged.severity != Severity::clear) {
        Finding found = hot_finding(*hot, "the exhaust", "richer, or more spark where knock allows it");
        found.text += note;
        return found;
    }
    if (auto settled = settled_finding(view, limit, note)) return settled;
    return hot_finding(*hot, "the exhaust", "");
}

std::optional<Finding> coolant_window(const PullView& view, const Check&, const Limit& limit) {
    const auto hot = hottest(view, Signal::coolant_temp_c, limit);
    if (!hot) return std::nullopt;
    const double first = hot->samples.values.front();
    if (hot->judged.severity == Severity::clear && first < kColdCoolantC)
        return too_cold(hot->samples.times.front(), first, kColdCoolantC, "coolant");
    return hot_finding(*hot, "coolant", "let it cool down; look at radiator, fan and thermostat");
}

std::vector<Finding> oil_window(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        for (const Pull& pull : run.pulls) {
            const auto hot = hottest({&run, pull}, Signal::oil_temp_c, limit);
            if (!hot) continue;
            findings.push_back(hot_finding(*hot, "oil", "let it cool down; an oil cooler is needed for more of this"));
            place(findings.back(), run, pull.index);
        }
        for (const Excluded& excluded : run.excluded) {
            if (excluded.reason != ExclusionReason::cold_oil) continue;
            const Samples oil =
                samples_within(run.log(), *run.find(Signal::oil_temp_c), excluded.start_s - 10.0, excluded.end_s);
            if (oil.times.empty()) continue;
            const auto at = std::ranges::upper_bound(oil.times, excluded.start_s) - oil.times.begin();
            const double value = oil.values[static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, at - 1))];
            findings.push_back(too_cold(excluded.start_s, value, kColdOilC, "oil"));
            findings.back().duration_s = excluded.end_s - excluded.start_s;
            place(findings.back(), run, std::nullopt);
        }
    }
    return findings;
}

}  // namespace revwright
