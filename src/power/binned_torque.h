#pragma once

#include <span>
#include <vector>

#include "core/error.h"
#include "power/torque_estimate.h"

namespace revwright {

/// Torque read at one engine speed.
struct TorqueReading {
    double engine_speed_rpm = 0.0, torque_nm = 0.0;
};

/// Errors of a method that go through its whole curve, as shares of torque.
struct CurveErrors {
    double level = 0.0;      // one for all speeds
    double tilt = 0.0;       // at either end, of opposite sign
    double air_meter = 0.0;  // the part that it has in common with other methods
};

/// Readings as a curve: at each speed the mean of those within 75 rpm, straight between where there is none, with the
/// scatter of the readings and the method's own errors as covariance.
/// Errors: fewer than 12 readings, or fewer than 800 rpm covered.
Result<TorqueEstimate> binned_torque(std::span<const TorqueReading> readings, const CurveErrors& errors);

}  // namespace revwright
