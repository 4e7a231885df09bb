#include "physics/fuel.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

struct StoichiometryRow {
    const char* fuel;
    FuelComposition composition;
    double published, tolerance;
};

// Air-fuel ratios of [Heywood1988] table D.4 (from memory; printed to 0.01, petrol to 0.1). Heywood's air is 0.02 %
// leaner than ours: 0.01 on top of half the last digit.
constexpr StoichiometryRow kHeywood[] = {
    {"petrol CH1.87", {1.87, 0.0}, 14.6, 0.05},      {"iso-octane C8H18", {18.0 / 8.0, 0.0}, 15.13, 0.01},
    {"toluene C7H8", {8.0 / 7.0, 0.0}, 13.50, 0.01}, {"ethanol C2H6O", {3.0, 0.5}, 9.00, 0.01},
    {"methanol CH4O", {4.0, 1.0}, 6.47, 0.01},       {"methane CH4", {4.0, 0.0}, 17.23, 0.01},
    {"propane C3H8", {8.0 / 3.0, 0.0}, 15.67, 0.01},
};

// n-heptane in a worked example of [MathurSharma], chapter 8, with integer atomic weights: 15.11. Ours uses 20.95 %
// oxygen: 0.5 %.
constexpr StoichiometryRow kTextbook[] = {{"n-heptane C7H16", {16.0 / 7.0, 0.0}, 15.11, 0.076}};

TEST(Fuel, StoichiometryMatchesTheBooks) {
    for (const auto& row : kHeywood)
        EXPECT_NEAR(stoichiometric_air_fuel_ratio(row.composition), row.published, row.tolerance) << row.fuel;
    for (const auto& row : kTextbook)
        EXPECT_NEAR(stoichiometric_air_fuel_ratio(row.composition), row.published, row.tolerance) << row.fuel;
}

TEST(Fuel, CarbonShareOfTheDefaultCompositionsIsTheRegulations) {
    // [CFR1065.655] table 1: composition and carbon mass fraction, printed to 0.001. The ratio follows from the carbon
    // share alone: AFR = (1 + x/4 - y/2) * (28.965 / 0.2095) * w_C / 12.011. (E15 is left out: by its own formula its
    // share is 0.813, printed 0.817.)
    constexpr struct {
        const char* fuel;
        FuelComposition composition;
        double carbon;
    } kRows[] = {{"petrol", {1.85, 0.0}, 0.866}, {"E10", {1.92, 0.03}, 0.833},          {"E85", {2.73, 0.38}, 0.576},
                 {"LPG", {2.64, 0.0}, 0.819},    {"natural gas", {3.78, 0.016}, 0.747}, {"E100", {3.0, 0.5}, 0.521},
                 {"M100", {4.0, 1.0}, 0.375}};
    for (const auto& row : kRows) {
        const double oxygen = 1.0 + row.composition.hydrogen / 4.0 - row.composition.oxygen / 2.0;
        const double from_carbon = oxygen * 28.965 / 0.2095 * row.carbon / 12.011;
        EXPECT_NEAR(stoichiometric_air_fuel_ratio(row.composition) / from_carbon, 1.0, 0.0006 / row.carbon) << row.fuel;
    }
}

TEST(Fuel, BlendsMixByMass) {
    // Computed by hand from the pure values named in fuel.h: mass fraction, ratio, MJ/kg; half the last digit, and one
    // more digit of the ratios of the pure fuels (14.572, 9.003).
    constexpr struct {
        double volume, mass, ratio, heat;
    } kRows[] = {{0.05, 0.0528, 14.278, 42.334}, {0.10, 0.1053, 13.986, 41.473}, {0.20, 0.2093, 13.407, 39.767},
                 {0.50, 0.5143, 11.708, 34.765}, {0.75, 0.7606, 10.337, 30.726}, {0.85, 0.8572, 9.799, 29.142}};
    for (const auto& row : kRows) {
        const FuelProperties blend = fuel_properties(row.volume);
        EXPECT_NEAR(blend.ethanol_mass_fraction, row.mass, 0.00005) << row.volume;
        EXPECT_NEAR(blend.stoichiometric_air_fuel_ratio, row.ratio, 0.001) << row.volume;
        EXPECT_NEAR(blend.lower_heating_value.si * 1e-6, row.heat, 0.0005) << row.volume;
    }
}

TEST(Fuel, PureFuelsAreTheEndsOfTheBlend) {
    EXPECT_DOUBLE_EQ(fuel_properties(0.0).density.si, 745.0);
    EXPECT_DOUBLE_EQ(fuel_properties(0.0).lower_heating_value.si, 43.2e6);
    EXPECT_DOUBLE_EQ(fuel_properties(1.0).density.si, 789.0);
    EXPECT_DOUBLE_EQ(fuel_properties(1.0).stoichiometric_air_fuel_ratio, stoichiometric_air_fuel_ratio({3.0, 0.5}));
}

}  // namespace
}  // namespace revwright
