#pragma once

#include <string>
#include <vector>

#include "draw/scale.h"
#include "draw/scene.h"
#include "model/power.h"

namespace revwright::draw {

/// Which curve of the report a panel shows.
enum class PowerQuantity { torque, power };

/// The last set that has a curve before the one the report is about.
const PowerSet* set_before(const PowerReport& report);

/// Whether a method's curve is drawn beside the combined one: it is that very curve where it was combined with no
/// other.
bool stands_beside(const PowerSet& set, const MethodPower& method);

/// What the thick curve is called: by its method where that is the only one, else "combined".
std::string name_of_combined(const PowerSet& set);

/// What x must show: all curves of the last set and of the one before.
Extent speeds_of(const PowerReport& report);

/// One quantity with its heading and its peak in words, from `y` down. Returns the y below it. The report's last set
/// has a curve.
double add_power_panel(std::vector<Layer>& layers, const PowerReport& report, PowerQuantity quantity,
                       const Scale& speed, double y);

}  // namespace revwright::draw
