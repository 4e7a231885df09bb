#pragma once

#include <string_view>

#include "model/channel.h"

namespace revwright {

/// What the values of a signal look like over a drive, in its canonical unit, and the units loggers leave out.
/// Values outside lowest..highest are not this signal. Typical ranges only decide between units, or between two
/// meanings of one name; a faulty engine may lie outside them.
struct SignalEnvelope {
    Signal signal;
    std::string_view units;  // between blanks: what is tried where the log gives none
    double lowest, highest;
    double top_from, top_to;    // of the highest hundredth
    double idle_from, idle_to;  // at idle (pressures: whenever the pedal is closed); both 0 = nothing is said
};

/// Common practice, no source. Null for signals that nothing but their name can tell (time).
const SignalEnvelope* envelope_of(Signal signal);

}  // namespace revwright
