#pragma once

#include <span>

#include "power/witness_readings.h"

namespace revwright {

/// Torque from the pulls and holds of these runs on a dynamometer; never pooled with pulls on the road.
///
/// An inertia dynamometer: the equation of motion of the road without air and slope, its mass the roller's inertia over
/// the square of the rolling radius. `roller_inertia_kg_m2` is therefore the roller's inertia referred to the driven
/// wheels (1/2 J w^2 with the wheels' speed w is its kinetic energy). Two wheels turn.
/// A brake dynamometer: settled points of dyno_torque_nm, taken as stated at the crankshaft, its scale known to 1.5 %;
/// three holds at least, straight between them.
/// Neither a figure nor a refusal where no run was driven on one. Spreads: common practice, no source.
Witness dynamometer_witness(std::span<const RunView* const> runs);

}  // namespace revwright
