#pragma once

#include <optional>

#include "review/run_view.h"

namespace revwright {

/// The exhaust temperature that full load would settle at, where it is highest.
struct SettledExhaust {
    double mean_c = 0.0;
    double sd_k = 0.0;
    double time_s = 0.0;
    bool sure = true;  // false: the pull was too short to tell
};

/// A pull is too short for a probe to settle. The gas is worked back from the reading T with two lags:
///   probe   S = T + tau dT/dt                            tau 1.4 +- 0.2 s
///   metal   S = (1 - w) G + w M,  dM/dt = (G - M) / 6 s   w 0.3 +- 0.05: the part of the heat that the walls still
///   take
/// Own choice, no source; bench/settled_exhaust measures how honest the spread is. A model fitted to this car will have
/// better lags. The worst place is taken where the spread is below 13 K; a pull that nowhere allows that is judged at
/// its end.
std::optional<SettledExhaust> settled_exhaust(const PullView& view);

}  // namespace revwright
