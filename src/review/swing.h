#pragma once

#include <optional>

#include "numeric/series.h"

namespace revwright {

/// A steady swing of a quantity around what it otherwise does.
struct Swing {
    double peak_to_peak = 0.0;  // twice the amplitude of the sine that fits best
    double hertz = 0.0;
    double from_s = 0.0, to_s = 0.0;  // of all that swings at least as much as asked for
    double worst_s = 0.0;             // middle of the stretch that swings most
    bool found() const { return hertz > 0.0; }
};

/// The strongest swing of 1 to `highest_hz` that lasts a second, and two and a half periods.
///
/// A parabola and a sine are fitted over each such window by least squares, so that neither noise nor a ramp counts;
/// where the sine takes less than half of what the parabola leaves, it is no swing. And the values themselves must
/// turn round often enough by half of the swing: a single overshoot does not.
/// at_least  swings below it are not looked for       series  no gaps, one sample where the source gave a new value
Swing strongest_swing(const Series& series, double highest_hz, double at_least);

}  // namespace revwright
