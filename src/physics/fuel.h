#pragma once

#include "core/quantity.h"

namespace revwright {

/// A fuel as C H_x O_y: atoms of hydrogen and oxygen for one of carbon.
struct FuelComposition {
    double hydrogen = 0.0;
    double oxygen = 0.0;
};

/// Mass of air that burns one mass of fuel to carbon dioxide and water, nothing left over:
///   (1 + x/4 - y/2) * (28.965 / 0.2095) / (12.011 + 1.00794 x + 15.9994 y).
///
/// Sources: molar masses and 20.95 % oxygen in dry air [CFR1065.655]. The school form with 3.76 mol nitrogen per mol
/// oxygen gives 0.67 % less.
double stoichiometric_air_fuel_ratio(FuelComposition fuel);

/// What a petrol and ethanol blend brings to the engine.
struct FuelProperties {
    double ethanol_mass_fraction = 0.0;  // 0..1
    double stoichiometric_air_fuel_ratio = 0.0;
    SpecificEnergy lower_heating_value = {};  // of the liquid
    Density density = {};                     // at 15 C
};

/// Properties of a blend by volume (0.10 = E10), mixed by mass; the small contraction on mixing is neglected.
///
/// Petrol: CH1.85 [CFR1065.655], 43.2 MJ/kg and 745 kg/m3 [JRC-CO2MPAS]. Ethanol: CH3O0.5 [CFR1065.655], 26.8 MJ/kg
/// [JRC-CO2MPAS], 789 kg/m3 (at 20 C; from memory). Pump petrol spreads about 1 % in heating value and 2 % in density.
/// Precondition: 0 <= ethanol_fraction <= 1.
FuelProperties fuel_properties(double ethanol_fraction);

}  // namespace revwright
