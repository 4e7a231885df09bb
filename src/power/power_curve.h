#pragma once

#include "model/power.h"
#include "power/torque_estimate.h"

namespace revwright {

/// The curve with its peaks, every torque times `correction_factor`, which is taken as exact.
PowerCurve curve_of(const TorqueEstimate& estimate, double correction_factor);

}  // namespace revwright
