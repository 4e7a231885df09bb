#include "physics/fuel.h"

#include <cassert>

namespace revwright {
namespace {

constexpr double kCarbon = 12.011, kHydrogen = 1.00794, kOxygen = 15.9994;  // g/mol
constexpr double kAirPerOxygen = 28.965 / 0.2095;                           // g of air per mol of oxygen

constexpr FuelComposition kPetrol{1.85, 0.0};
constexpr FuelComposition kEthanol{3.0, 0.5};
constexpr SpecificEnergy kPetrolHeat{43.2e6}, kEthanolHeat{26.8e6};
constexpr Density kPetrolDensity{745.0}, kEthanolDensity{789.0};

}  // namespace

double stoichiometric_air_fuel_ratio(FuelComposition fuel) {
    const double oxygen_needed = 1.0 + fuel.hydrogen / 4.0 - fuel.oxygen / 2.0;  // mol per mol of carbon
    return oxygen_needed * kAirPerOxygen / (kCarbon + kHydrogen * fuel.hydrogen + kOxygen * fuel.oxygen);
}

FuelProperties fuel_properties(double ethanol_fraction) {
    assert(ethanol_fraction >= 0.0 && ethanol_fraction <= 1.0);
    const Density ethanol = ethanol_fraction * kEthanolDensity;
    const Density petrol = (1.0 - ethanol_fraction) * kPetrolDensity;
    const Density blend = ethanol + petrol;
    const double w = ethanol / blend;
    return {.ethanol_mass_fraction = w,
            .stoichiometric_air_fuel_ratio =
                w * stoichiometric_air_fuel_ratio(kEthanol) + (1.0 - w) * stoichiometric_air_fuel_ratio(kPetrol),
            .lower_heating_value = w * kEthanolHeat + (1.0 - w) * kPetrolHeat,
            .density = blend};
}

}  // namespace revwright
