#pragma once

#include <string>

#include "draw/scene.h"
#include "model/power.h"

namespace revwright::draw {

/// The picture of a power report: figures on top, then torque and power of the last set over a shared axis of engine
/// speed, then what they rest on in words. Where there is no curve, the reasons.
Scene draw_power(const PowerReport& report);

/// to_svg(draw_power(report)).
std::string power_svg(const PowerReport& report);

}  // namespace revwright::draw
