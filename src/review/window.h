#pragma once

#include <optional>
#include <span>
#include <vector>

#include "model/log.h"
#include "review/derived.h"

namespace revwright {

/// The samples of a channel with from <= time <= to; blanks are left out.
Samples samples_within(const Log& log, const Channel& channel, double from, double to);

/// Each value replaced by the median of itself and its neighbours: a single wild sample disappears, an edge stays where
/// it is. The first and last value stay as they are.
std::vector<double> median_of_three(std::span<const double> values);

/// Median, and 0 for nothing. Takes its copy because it reorders.
double median(std::vector<double> values);

/// Typical distance between samples (the median), 0 for fewer than two.
double typical_interval(std::span<const double> times);

/// The values of a series at rising `times`: linear between neighbours at most `reach` seconds apart, NaN elsewhere.
/// One pass over both.
std::vector<double> values_along(const Series& series, std::span<const double> times, double reach);
/// The same, but the last sample before each time holds: for gears and switches.
std::vector<double> held_along(const Series& series, std::span<const double> times, double reach);

/// A level that a quantity kept for a stated time.
struct Held {
    double level = 0.0;     // reached or exceeded by every sample of the stretch
    std::size_t first = 0;  // of the stretch, indices into the series
    std::size_t last = 0;
    std::size_t worst = 0;  // its highest sample
};

/// The highest level that the values kept for at least `seconds`, a sample counting for the time to its successor
/// (the last one for the typical interval); stretches do not reach across gaps. Nothing where no stretch is that long.
std::optional<Held> highest_held(const Series& series, double seconds);

/// Where an excess over `limit` was worst. On a level stretch the highest sample is a matter of noise, and another pull
/// would name another engine speed; this is the middle of what exceeds half way from the limit to the level held, peaks
/// cut off at that level, within the stretch that time_above() counts. Below the limit: the highest sample held.
std::size_t middle_of_worst(const Series& series, const Held& held, double limit);

/// How long the values around index `at` stay at or above `level`.
double time_above(const Series& series, std::size_t at, double level);

}  // namespace revwright
