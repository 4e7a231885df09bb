#pragma once

#include <optional>

#include "review/run_view.h"

namespace revwright {

/// Highest speed of the tyre's symbol; nothing where none is stated, or only the open-ended Z.
/// Source: speed symbols of UN Regulation 30 (three public tables agree; load above 210 km/h is to be derated).
std::optional<double> tyre_speed_km_h(const Tyre& tyre);

/// Engine speed at which the control unit holds the engine: the lesser of the job's highest speed and the speed_limit
/// table of the image the run was driven with; 0 = not known.
double engine_speed_limit_rpm(const RunView& run);

/// When the engine's speed limiter began to act in the pull, where it did.
std::optional<double> speed_limiter_from_s(const PullView& view);

}  // namespace revwright
