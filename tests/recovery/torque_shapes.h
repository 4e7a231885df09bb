#pragma once

#include "recovery/true_car.h"

namespace revwright {

/// A full-load curve drawn at random, of one of three kinds: naturally aspirated with its hump, turbocharged with a
/// plateau, and turbocharged with a plateau that falls early. Shapes are common practice, no source.
TorqueOfSpeed random_torque(double highest_nm, PowerRandom& random);

/// The same engine after a revision: some percent more or less, not the same at every speed.
TorqueOfSpeed revised_torque(TorqueOfSpeed before, PowerRandom& random);

}  // namespace revwright
