#include "review/clock_faults.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>

#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kJumpSeconds = 0.5, kJumpIntervals = 5.0;
constexpr double kSlopeSeconds = 0.5;  // engine speed's slope before and after a leap
constexpr double kTellingRpm = 150.0;  // the leap at that slope is worth so much: then it can be told
constexpr double kWindowRows = 50.0;   // of which the typical interval is taken
constexpr double kRateFactor = 1.5;    // between the rates before and after
constexpr double kDriftSeconds = 0.3;  // between the first and the last third of a drive
constexpr double kLongEnoughS = 60.0;  // for a drift to be seen
constexpr double kGridS = 0.05, kFarthestS = 2.0;
constexpr double kAlike = 0.8;          // correlation of what belongs together
constexpr double kThinnestHz = 0.5;     // below, no value lies between two samples
constexpr double kLongestS = 86'400.0;  // a clock that claims more than a day is not that of a drive

/// Slope by least squares over the samples from..to; nothing for fewer than three.
std::optional<double> slope(const Samples& samples, std::size_t from, std::size_t to) {
    const double n = static_cast<double>(to - from + 1);
    if (to < from + 2) return std::nullopt;
    double t = 0.0, v = 0.0, tt = 0.0, tv = 0.0;
    for (std::size_t i = from; i <= to; ++i) {
        const double at = samples.times[i] - samples.times[from];
        t += at, v += samples.values[i], tt += at * at, tv += at * samples.values[i];
    }
    const double spread = n * tt - t * t;
    return spread > 0.0 ? std::optional((n * tv - t * v) / spread) : std::nullopt;
}

/// Whether engine speed goes on between samples i - 1 and i as if only one row had passed.
bool goes_on(const Samples& speed, std::size_t i, double row_s) {
    std::size_t first = i - 1, last = i;
    while (first > 0 && speed.times[i - 1] - speed.times[first - 1] <= kSlopeSeconds) --first;
    while (last + 1 < speed.times.size() && speed.times[last + 1] - speed.times[i] <= kSlopeSeconds) ++last;
    const auto before = slope(speed, first, i - 1), after = slope(speed, i, last);
    if (!before || !after || *before * *after <= 0.0) return false;
    const double rate = 0.5 * (*before + *after);
    if (std::abs(*before - *after) > 0.5 * std::abs(rate)) return false;
    const double leap = rate * (speed.times[i] - speed.times[i - 1]);
    const double moved = speed.values[i] - speed.values[i - 1];
    return std::abs(leap) >= kTellingRpm && std::abs(moved - rate * row_s) <= 0.2 * std::abs(leap);
}

void add_jumps(const Log& log, std::vector<QualityNote>& notes) {
    const Channel* channel = log.find(Signal::engine_speed_rpm);
    if (!channel) return;
    const Log::Span span = log.span();
    const Samples speed = samples_within(log, *channel, span.start_s, span.end_s);
    const double row_s = typical_interval(speed.times);
    for (std::size_t i = 1; i < speed.times.size(); ++i) {
        const double from = speed.times[i - 1], to = speed.times[i];
        if (to - from <= std::max(kJumpSeconds, kJumpIntervals * row_s) || !goes_on(speed, i, row_s)) continue;
        notes.push_back({"clock-jump", from, to,
                         fmt::format("the clock leaps ahead from {:.2f} to {:.2f} s while engine speed goes on as if "
                                     "one row had passed: the clock is wrong, no rows are missing",
                                     from, to)});
    }
}

void add_rate_change(const TimeBase& base, std::vector<QualityNote>& notes) {
    const auto rows = static_cast<std::size_t>(kWindowRows);
    std::vector<double> intervals;
    for (std::size_t from = 0; from + rows <= base.seconds.size(); from += rows)
        intervals.push_back(typical_interval(std::span(base.seconds).subspan(from, rows)));
    if (intervals.size() < 4) return;
    std::size_t best = 0;
    auto fewest = std::ssize(intervals) / 10 + 1;  // windows at another rate than that of their side
    for (std::size_t split = 2; split + 2 <= intervals.size(); ++split) {
        const auto at = intervals.begin() + static_cast<std::ptrdiff_t>(split);
        const double before = median({intervals.begin(), at}), after = median({at, intervals.end()});
        const auto off = [](double typical) {
            return [typical](double interval) { return std::abs(interval - typical) > 0.25 * typical; };
        };
        if (!(before > 0.0 && after > 0.0)) continue;
        const auto stray =
            std::count_if(intervals.begin(), at, off(before)) + std::count_if(at, intervals.end(), off(after));
        const double factor = std::max(before / after, after / before);
        if (factor > kRateFactor && stray < fewest) fewest = stray, best = split;
    }
    if (best == 0) return;
    const double at_s = base.seconds[best * rows];
    notes.push_back(
        {"rate-change", at_s, base.seconds.back(),
         fmt::format("rows come {:.1f} times a second up to {:.1f} s and {:.1f} times from there on",
                     1.0 / median({intervals.begin(), intervals.begin() + static_cast<std::ptrdiff_t>(best)}), at_s,
                     1.0 / median({intervals.begin() + static_cast<std::ptrdiff_t>(best), intervals.end()}))});
}

/// The change of a channel over a quarter of a second, on an even grid.
std::vector<double> changes_on_grid(const Log& log, const Channel& channel, double from, double to) {
    std::vector<double> grid;
    for (double t = from; t <= to; t += kGridS) grid.push_back(t);
    const std::vector<double> values = values_along(log.series(channel), grid, 1.0);
    std::vector<double> changes;
    for (std::size_t i = 5; i < values.size(); ++i) changes.push_back(values[i] - values[i - 5]);
    return changes;
}

/// By how much b comes after a, where the two are alike when moved so; nothing where they are not.
std::optional<double> delay_between(const std::vector<double>& a, const std::vector<double>& b) {
    const auto most = static_cast<std::ptrdiff_t>(kFarthestS / kGridS);
    double best = kAlike;
    std::optional<double> delay;
    for (std::ptrdiff_t shift = -most; shift <= most; ++shift) {
        double ab = 0.0, aa = 0.0, bb = 0.0;
        for (std::ptrdiff_t i = most; i + most < std::min(std::ssize(a), std::ssize(b)); ++i) {
            const double x = a[static_cast<std::size_t>(i)], y = b[static_cast<std::size_t>(i + shift)];
            if (std::isnan(x) || std::isnan(y)) continue;
            ab += x * y, aa += x * x, bb += y * y;
        }
        if (!(aa > 0.0 && bb > 0.0) || ab / std::sqrt(aa * bb) <= best) continue;
        best = ab / std::sqrt(aa * bb);
        delay = static_cast<double>(shift) * kGridS;
    }
    return delay;
}

std::optional<double> drift_between(const Log& log, const Channel& one, const Channel& other, Log::Span span) {
    const double third = (span.end_s - span.start_s) / 3.0;
    const auto delay = [&](double from, double to) {
        return delay_between(changes_on_grid(log, one, from, to), changes_on_grid(log, other, from, to));
    };
    const auto early = delay(span.start_s, span.start_s + third), late = delay(span.end_s - third, span.end_s);
    return early && late ? std::optional(*late - *early) : std::nullopt;
}

/// Channels that move together in any car.
constexpr std::pair<Signal, Signal> kTogether[] = {
    {Signal::pedal_pct, Signal::throttle_pct},
    {Signal::engine_speed_rpm, Signal::vehicle_speed_km_h},
    {Signal::engine_speed_rpm, Signal::gearbox_input_rpm},
    {Signal::manifold_pressure_kpa, Signal::boost_pressure_kpa},
    {Signal::manifold_pressure_kpa, Signal::charge_pct},
    {Signal::air_mass_flow_g_s, Signal::charge_pct},
};

void add_drift(const Log& log, std::vector<QualityNote>& notes) {
    for (const auto& [first, second] : kTogether) {
        const Channel *one = log.find(first), *other = log.find(second);
        if (!one || !other || one->time_base == other->time_base) continue;
        const auto &a = log.time_bases[one->time_base].seconds, &b = log.time_bases[other->time_base].seconds;
        if (a.empty() || b.empty()) continue;
        const Log::Span both{std::max(a.front(), b.front()), std::min(a.back(), b.back())};
        const double span_s = both.end_s - both.start_s;
        if (span_s < kLongEnoughS || span_s > kLongestS) continue;
        if (static_cast<double>(std::min(a.size(), b.size())) < kThinnestHz * span_s) continue;
        const auto drift = drift_between(log, *one, *other, both);
        if (!drift || std::abs(*drift) < kDriftSeconds) continue;
        notes.push_back({"clock-drift", both.start_s, both.end_s,
                         fmt::format("{} and {} have clocks of their own that move apart by {:.1f} s over the log",
                                     one->name, other->name, std::abs(*drift))});
        return;
    }
}

}  // namespace

std::vector<QualityNote> clock_faults(const Log& log) {
    std::vector<QualityNote> notes;
    add_jumps(log, notes);
    for (const TimeBase& base : log.time_bases) add_rate_change(base, notes);
    if (log.time_bases.size() > 1) add_drift(log, notes);
    return notes;
}

}  // namespace revwright
