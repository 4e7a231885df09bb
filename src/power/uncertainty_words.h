#pragma once

#include <span>
#include <string>

#include "model/power.h"

namespace revwright {

/// What most of the uncertainty of a peak power comes from, and what would shrink it most. remedies: most helpful
/// first.
std::string uncertainty_in_words(const PowerPeak& peak, std::span<const PowerRemedy> remedies);

/// The same where the road carries no figure: then the spread is that of the methods themselves.
std::string without_road_in_words(const PowerSet& set);

}  // namespace revwright
