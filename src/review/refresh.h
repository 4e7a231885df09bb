#pragma once

#include <optional>
#include <span>
#include <vector>

#include "numeric/series.h"

namespace revwright {

/// How a channel's samples came about.
struct Renewal {
    std::optional<double> refresh_hz = {};  // how often its value is renewed
    std::optional<double> resolution = {};  // the step its values are multiples of, in the channel's unit
};

/// How often the value behind a channel is renewed. A logger writes the last value of a slow channel into every row, so
/// the rate of the rows says nothing; the number of rows between changes does:
///   changes one row apart are often                 -> every row is new
///   nearly all distances are multiples of m rows    -> it is renewed every m rows
///   distances of m and m+1 rows, large steps        -> it is renewed in between, by a clock of its own
/// Nothing where fewer than eight changes are seen, or where each change is a single step of the resolution that a
/// slow quantity explains as well. A channel with blanks between its samples repeats nothing: its sample rate.
/// Checked on closed forms at 12.5, 10, 5, 2.5 and 1 Hz in rows of 25 Hz: within 10 % (refresh_test.cpp).
///
/// parts: stretches of one channel, in order; holes within them are passed over.
Renewal renewal_of(std::span<const Series> parts);

/// The whole channel; of a long one, evenly spread stretches of it.
Renewal renewal_of(const Series& series);

}  // namespace revwright
