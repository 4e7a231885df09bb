#pragma once

#include <vector>

#include "naming/readings.h"

namespace revwright {

/// Kilometres or miles an hour: where the job knows the car's gears, the engine speed tells. Readings that put most of
/// the drive into one of its gears stay typical, others lose that; without ratios or engine speed nothing changes.
void tell_by_gear_ratios(const Channel& speed, const NamingScene& scene, std::vector<Reading>& readings);

}  // namespace revwright
