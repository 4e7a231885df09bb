#include "review/refresh.h"

#include <algorithm>
#include <cmath>

#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr std::size_t kLeastChanges = 8;
constexpr std::size_t kKeepsTime = 20;  // so many changes at even distances: a clock, not a slope
constexpr double kBlankShare = 0.2;     // a logger that leaves so many rows blank does not repeat values
constexpr double kHoleRows = 4.0;       // beyond so many typical intervals nothing is known of what lies between
constexpr double kMostlyShare = 0.95;
constexpr double kSingleSteps = 1.5;  // up to so many resolutions a change may be one step that fell due
constexpr double kSlackOfStep = 0.1;  // a step is a multiple of the resolution within this part of it
constexpr double kRowByRow = 1.1;     // up to so many rows between changes on average, every row is new
constexpr std::size_t kStretches = 20, kStretchSamples = 1'000;

/// Where the value of a channel changed.
struct Changes {
    std::vector<double> rows;   // from the change before, in samples
    std::vector<double> steps;  // by how much, signed away; one for each of `rows`
    std::vector<double> intervals;
    std::size_t blanks = 0, samples = 0;
};

void add_changes(const Series& part, double hole_s, Changes& changes) {
    std::optional<std::size_t> before;  // index of the sample before
    double since_change = 0.0;
    bool changed_once = false;
    for (std::size_t i = 0; i < part.size(); ++i) {
        if (std::isnan(part.values[i])) continue;
        if (before && part.times[i] - part.times[*before] > hole_s) changed_once = false;
        if (before && part.times[i] - part.times[*before] <= hole_s) {
            since_change += 1.0;
            const double step = part.values[i] - part.values[*before];
            if (step != 0.0) {
                if (changed_once) changes.rows.push_back(since_change), changes.steps.push_back(std::abs(step));
                changed_once = true;
                since_change = 0.0;
            }
        }
        before = i;
    }
}

void add_intervals(const Series& part, Changes& changes) {
    std::optional<double> before;
    for (std::size_t i = 0; i < part.size(); ++i) {
        if (std::isnan(part.values[i])) {
            ++changes.blanks;
            continue;
        }
        ++changes.samples;
        if (before) changes.intervals.push_back(part.times[i] - *before);
        before = part.times[i];
    }
}

/// Mean distance of the samples, holes left out.
double row_seconds(const std::vector<double>& intervals, double hole_s) {
    double sum = 0.0, count = 0.0;
    for (const double interval : intervals)
        if (interval <= hole_s) sum += interval, count += 1.0;
    return count > 0.0 ? sum / count : 0.0;
}

double share_of(const std::vector<double>& values, auto&& holds) {
    return static_cast<double>(std::ranges::count_if(values, holds)) / static_cast<double>(values.size());
}

/// Smallest step that nearly all steps are multiples of.
std::optional<double> resolution_of(const std::vector<double>& steps) {
    if (steps.size() < kLeastChanges) return std::nullopt;
    const double largest = std::ranges::max(steps);
    double least = largest;
    for (const double step : steps)
        if (step > 1e-6 * largest) least = std::min(least, step);
    const auto is_multiple = [&](double step) {
        const double count = step / least;
        return std::abs(count - std::round(count)) <= kSlackOfStep;
    };
    if (share_of(steps, is_multiple) < kMostlyShare) return std::nullopt;
    return least;
}

/// Rows between renewals; nothing where the changes do not tell.
std::optional<double> rows_per_renewal(const Changes& changes, std::optional<double> resolution) {
    const std::vector<double>& rows = changes.rows;
    if (rows.size() < kLeastChanges) return std::nullopt;
    std::vector<double> sorted = rows;
    std::ranges::sort(sorted);
    const double least = sorted[sorted.size() / 20];  // one in twenty may be shorter by chance
    const auto mean_upto = [&](double most) {
        double sum = 0.0, count = 0.0;
        for (const double distance : rows)
            if (distance >= least && distance <= most) sum += distance, count += 1.0;
        return sum / count;
    };
    const auto next_to_least = [&](double distance) { return distance <= least + 1.0; };
    if (least <= 1.0) {
        // Between one and two rows apart, all of them: a clock of its own; else values that happen to be equal.
        const double mean = mean_upto(2.0);
        const bool of_its_own = share_of(rows, next_to_least) >= 0.98 && mean > kRowByRow;
        const bool equal_by_chance = resolution && share_of(changes.steps, [&](double step) {
                                                       return step <= kSingleSteps * *resolution;
                                                   }) > 0.2;
        return of_its_own && !equal_by_chance ? mean : 1.0;
    }
    const auto single = [&](double step) { return resolution && step <= kSingleSteps * *resolution; };
    const bool by_single_steps = share_of(changes.steps, single) > 0.5;
    const double locked = share_of(rows, [&](double distance) { return std::fmod(distance, least) == 0.0; });
    if (locked >= kMostlyShare) {
        // A steady slope of a coarse channel changes at even distances as well, but no real slope keeps time for long.
        if (!by_single_steps || rows.size() >= kKeepsTime) return least;
        return std::nullopt;
    }
    if (by_single_steps || share_of(rows, next_to_least) < 0.5) return std::nullopt;
    return mean_upto(least + 1.0);
}

}  // namespace

Renewal renewal_of(std::span<const Series> parts) {
    Changes changes;
    for (const Series& part : parts) add_intervals(part, changes);
    if (changes.intervals.empty()) return {};
    const double hole_s = kHoleRows * median(changes.intervals);
    for (const Series& part : parts) add_changes(part, hole_s, changes);
    const double row_s = row_seconds(changes.intervals, hole_s);
    Renewal found{.resolution = resolution_of(changes.steps)};
    if (!(row_s > 0.0)) return found;
    const double blank = static_cast<double>(changes.blanks) / static_cast<double>(changes.blanks + changes.samples);
    const auto rows = rows_per_renewal(changes, found.resolution);
    if (rows)
        found.refresh_hz = 1.0 / (*rows * row_s);
    else if (blank >= kBlankShare && changes.samples >= kLeastChanges)
        found.refresh_hz = 1.0 / row_s;
    return found;
}

Renewal renewal_of(const Series& series) {
    if (series.size() <= kStretches * kStretchSamples) return renewal_of(std::span(&series, 1));
    std::vector<Series> parts;
    for (std::size_t i = 0; i < kStretches; ++i) {
        const std::size_t from = i * (series.size() - kStretchSamples) / (kStretches - 1);
        parts.push_back({series.times.subspan(from, kStretchSamples), series.values.subspan(from, kStretchSamples)});
    }
    return renewal_of(parts);
}

}  // namespace revwright
