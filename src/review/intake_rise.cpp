#include <algorithm>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kBeforeSeconds = 1.0;  // our choice: the air the pull starts with is the median of so long before it
constexpr double kLeastSeconds = 1.5;   // our choice: a shorter pull shows no rise

}  // namespace

/// From the start of the pull on. The sensor lags by some seconds, so that the air rose by more than this: the check
/// errs on the quiet side.
std::optional<Finding> intake_rise(const PullView& view, const Check&, const Limit& limit) {
    Samples intake = view.samples(Signal::intake_temp_c);
    if (intake.times.size() < 2 || intake.times.back() - intake.times.front() < kLeastSeconds) return std::nullopt;
    intake.values = median_of_three(intake.values);
    const Samples before = view.samples(Signal::intake_temp_c, -kBeforeSeconds, view.pull.end_s - view.pull.start_s);
    const double start = before.values.empty() ? intake.values.front() : median(before.values);
    const auto hottest = std::ranges::max_element(intake.values);
    const auto at = static_cast<std::size_t>(hottest - intake.values.begin());
    const double rise = *hottest - start;
    const Verdict judged = verdict(rise, limit, Side::above);
    Finding found = finding(intake.times[at], rise, judged);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("intake air warms by {:.0f} K through the pull, {:.0f} K is the limit",
                                 std::max(0.0, rise), judged.limit);
        return found;
    }
    for (double& value : intake.values) value -= start;
    found.duration_s = time_above(intake.series(), at, judged.limit);
    found.text = fmt::format(
        "intake air warmed by {:.0f} K through the pull, from {:.0f} to {:.0f} C, {:.0f} K is the limit; the charge "
        "cooler is soaked or too small: wait longer between pulls, or less boost",
        rise, start, start + rise, judged.limit);
    return found;
}

}  // namespace revwright
