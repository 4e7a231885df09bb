#include "review/window.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>
#include <numeric>

namespace revwright {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

/// Beyond this many typical intervals two samples are no longer neighbours.
constexpr double kGapIntervals = 4.0;

/// Samples before this one are too far from the first of `times` to matter.
std::size_t first_within(const Series& series, std::span<const double> times, double reach) {
    if (times.empty()) return series.size();
    const auto first = std::ranges::lower_bound(series.times, times.front() - reach);
    return static_cast<std::size_t>(first - series.times.begin());
}

}  // namespace

Samples samples_within(const Log& log, const Channel& channel, double from, double to) {
    const Series part = slice(log.series(channel), from, to);
    Samples found;
    found.times.reserve(part.size());
    found.values.reserve(part.size());
    for (std::size_t i = 0; i < part.size(); ++i) {
        if (std::isnan(part.values[i])) continue;
        found.times.push_back(part.times[i]);
        found.values.push_back(part.values[i]);
    }
    return found;
}

std::vector<double> median_of_three(std::span<const double> values) {
    std::vector<double> calm(values.begin(), values.end());
    for (std::size_t i = 1; i + 1 < values.size(); ++i) {
        const auto [low, high] = std::minmax(values[i - 1], values[i + 1]);
        calm[i] = std::clamp(values[i], low, high);
    }
    return calm;
}

double median(std::vector<double> values) {
    if (values.empty()) return 0.0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::ranges::nth_element(values, middle);
    if (values.size() % 2 == 1) return *middle;
    return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

double typical_interval(std::span<const double> times) {
    std::vector<double> steps;
    steps.reserve(times.size());
    for (std::size_t i = 1; i < times.size(); ++i) steps.push_back(times[i] - times[i - 1]);
    return median(std::move(steps));
}

std::vector<double> values_along(const Series& series, std::span<const double> times, double reach) {
    std::vector<double> found(times.size(), kNone);
    std::optional<std::size_t> before, after;
    std::size_t next = first_within(series, times, reach);
    for (std::size_t i = 0; i < times.size(); ++i) {
        while (!after || series.times[*after] < times[i]) {
            while (next < series.size() && std::isnan(series.values[next])) ++next;
            if (next == series.size()) break;
            before = after;
            after = next++;
        }
        if (!after || series.times[*after] < times[i]) break;
        if (series.times[*after] == times[i]) {
            found[i] = series.values[*after];
        } else if (before && series.times[*after] - series.times[*before] <= reach) {
            const double part = (times[i] - series.times[*before]) / (series.times[*after] - series.times[*before]);
            found[i] = std::lerp(series.values[*before], series.values[*after], part);
        }
    }
    return found;
}

std::vector<double> held_along(const Series& series, std::span<const double> times, double reach) {
    std::vector<double> found(times.size(), kNone);
    std::optional<std::size_t> last;
    std::size_t next = first_within(series, times, reach);
    for (std::size_t i = 0; i < times.size(); ++i) {
        for (; next < series.size() && series.times[next] <= times[i]; ++next)
            if (!std::isnan(series.values[next])) last = next;
        if (last && times[i] - series.times[*last] <= reach) found[i] = series.values[*last];
    }
    return found;
}

std::optional<Held> highest_held(const Series& series, double seconds) {
    const double step = typical_interval(series.times);
    std::optional<Held> best;
    std::deque<std::size_t> lowest;  // candidates for the lowest sample of the stretch, values rising
    std::size_t first = 0;
    for (std::size_t last = 0; last < series.size(); ++last) {
        if (last > 0 && series.times[last] - series.times[last - 1] > kGapIntervals * step) {
            first = last;
            lowest.clear();
        }
        while (!lowest.empty() && series.values[lowest.back()] >= series.values[last]) lowest.pop_back();
        lowest.push_back(last);
        // The shortest stretch that is long enough: drop samples from its front while it stays so.
        const double end = series.times[last] + step + 1e-9;
        while (first < last && end - series.times[first + 1] >= seconds) ++first;
        while (lowest.front() < first) lowest.pop_front();
        if (end - series.times[first] < seconds) continue;
        const double level = series.values[lowest.front()];
        if (!best || level > best->level) best = Held{level, first, last, first};
    }
    if (best) {
        const auto from = series.values.begin() + static_cast<std::ptrdiff_t>(best->first);
        const auto to = series.values.begin() + static_cast<std::ptrdiff_t>(best->last) + 1;
        best->worst = static_cast<std::size_t>(std::max_element(from, to) - series.values.begin());
    }
    return best;
}

std::size_t middle_of_worst(const Series& series, const Held& held, double limit) {
    if (held.level < limit) return held.worst;
    std::size_t first = held.worst, last = held.worst;
    while (first > 0 && series.values[first - 1] >= limit) --first;
    while (last + 1 < series.size() && series.values[last + 1] >= limit) ++last;
    const double from = std::midpoint(limit, held.level);
    double weight = 0.0, moment = 0.0;
    for (std::size_t i = first; i <= last; ++i) {
        const double above = std::clamp(series.values[i] - from, 0.0, held.level - from);
        weight += above, moment += above * (series.times[i] - series.times[first]);
    }
    if (weight <= 0.0) return held.worst;
    const double middle = series.times[first] + moment / weight;
    while (first < last && std::abs(series.times[first + 1] - middle) <= std::abs(series.times[first] - middle))
        ++first;
    return first;
}

double time_above(const Series& series, std::size_t at, double level) {
    std::size_t first = at, last = at;
    while (first > 0 && series.values[first - 1] >= level) --first;
    while (last + 1 < series.size() && series.values[last + 1] >= level) ++last;
    return series.times[last] - series.times[first] + typical_interval(series.times);
}

}  // namespace revwright
