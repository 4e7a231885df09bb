#include "physics/air.h"

#include <cmath>
#include <gtest/gtest.h>

namespace revwright {
namespace {

struct AtmosphereRow {
    double geometric_m, kelvin, pascal, density;
    double half_digit_k, half_digit_pa, half_digit_density;
};

// [ICAO7488], geometric altitude, as printed: six digits, so the tolerance is half of the last one;
// the density at -2500 m is printed 6e-6 above the formula: a whole last digit there.
constexpr AtmosphereRow kIcao[] = {
    {0.0, 288.150, 101325.0, 1.22500, 0.0005, 0.5, 0.000005},
    {1000.0, 281.651, 89876.3, 1.11166, 0.0005, 0.05, 0.000005},
    {2000.0, 275.154, 79501.4, 1.00655, 0.0005, 0.05, 0.000005},
    {11000.0, 216.774, 22699.9, 0.364801, 0.0005, 0.05, 0.0000005},
    {-2500.0, 304.406, 135205.0, 1.54731, 0.0005, 0.5, 0.00001},
};

TEST(Air, StandardAtmosphereMatchesIcaoRows) {
    for (const AtmosphereRow& row : kIcao) {
        SCOPED_TRACE(row.geometric_m);
        const auto air = standard_atmosphere(GeometricAltitude{Length{row.geometric_m}});
        ASSERT_TRUE(air);
        EXPECT_NEAR(air->temperature.si, row.kelvin, row.half_digit_k);
        EXPECT_NEAR(air->pressure.value.si, row.pascal, row.half_digit_pa);
        EXPECT_NEAR(air->density.si, row.density, row.half_digit_density);
    }
}

TEST(Air, StandardAtmosphereMatchesAshraeRowsByGeopotentialAltitude) {
    // [ASHRAE2017] ch. 1 table 1: printed in Pa, and 1 Pa off the formula at some rows.
    constexpr struct {
        double metre, pascal;
    } kRows[] = {{-500.0, 107478.0}, {500.0, 95461.0}, {1000.0, 89875.0}, {4000.0, 61640.0}};
    for (const auto& row : kRows) {
        const auto air = standard_atmosphere(GeopotentialAltitude{Length{row.metre}});
        ASSERT_TRUE(air);
        EXPECT_NEAR(air->pressure.value.si, row.pascal, 1.0) << row.metre;
    }
}

TEST(Air, StandardAtmosphereEndsWhereItsFormulaEnds) {
    EXPECT_TRUE(standard_atmosphere(GeopotentialAltitude{Length{11000.0}}));
    EXPECT_FALSE(standard_atmosphere(GeopotentialAltitude{Length{11000.1}}));
    EXPECT_FALSE(standard_atmosphere(GeopotentialAltitude{Length{-5000.1}}));
    EXPECT_FALSE(standard_atmosphere(GeopotentialAltitude{Length{std::nan("")}}));
}

TEST(Air, SaturationPressureMatchesSteamTables) {
    // [IF97] table 35 at 300 K and 500 K (another formulation: within 1.5e-4), [ASHRAE2017] ch. 1 table 3 at
    // 5, 25, 50 and 100 C (tolerance 3e-4).
    constexpr struct {
        double kelvin, pascal, relative;
    } kRows[] = {{300.0, 3536.58941, 1.5e-4}, {500.0, 2.63889776e6, 1.5e-4}, {278.15, 872.6, 3e-4},
                 {298.15, 3169.7, 3e-4},      {323.15, 12351.3, 3e-4},       {373.15, 101418.0, 3e-4}};
    for (const auto& row : kRows)
        EXPECT_NEAR(saturation_vapour_pressure(Temperature{row.kelvin}).si / row.pascal, 1.0, row.relative)
            << row.kelvin;
}

/// Goff form of 40 CFR 1065.645, eq. 1065.645-1: a second route to the same curve.
double goff_pascal(double t) {
    const double log10_kpa = 10.79574 * (1.0 - 273.16 / t) - 5.02800 * std::log10(t / 273.16) +
                             1.50475e-4 * (1.0 - std::pow(10.0, -8.2969 * (t / 273.16 - 1.0))) +
                             0.42873e-3 * (std::pow(10.0, 4.76955 * (1.0 - 273.16 / t)) - 1.0) - 0.2138602;
    return 1e3 * std::pow(10.0, log10_kpa);
}

TEST(Air, SaturationPressureAgreesWithTheRegulationsForm) {
    EXPECT_NEAR(goff_pascal(282.65), 1186.581, 0.0005);  // [CFR1065.645], worked example at 9.5 C
    EXPECT_NEAR(goff_pascal(293.15), 2337.1, 0.05);      // [CFR1065.645], worked example at 20 C
    for (double t = 273.16; t <= 323.16; t += 5.0)
        EXPECT_NEAR(saturation_vapour_pressure(Temperature{t}).si / goff_pascal(t), 1.0, 1.5e-3) << t;
}

TEST(Air, MoistDensityMatchesCipm2007) {
    // [Picard2008] evaluated at 400 ppm of carbon dioxide. The ideal law is 0.03 to 0.07 % below it: tolerance 1e-3.
    constexpr struct {
        double pascal, celsius, humidity, density;
    } kRows[] = {{101325.0, 20.0, 0.5, 1.199314}, {101325.0, 15.0, 0.0, 1.225521}, {101325.0, 15.0, 0.5, 1.221631},
                 {100000.0, 20.0, 0.5, 1.183557}, {100000.0, 30.0, 0.8, 1.134777}, {101325.0, 25.0, 1.0, 1.170357},
                 {84556.0, 20.0, 0.5, 0.999903}};
    for (const auto& row : kRows) {
        const Density rho = moist_air_density({Pressure{row.pascal}}, celsius(row.celsius), {row.humidity});
        EXPECT_NEAR(rho.si / row.density, 1.0, 1e-3) << row.pascal << " Pa, " << row.celsius << " C";
    }
}

TEST(Air, MoistDensityMatchesAshrae) {
    // [ASHRAE2017] ch. 1, as tested in a public implementation: 30 C, 95461 Pa, humidity ratio 0.02 -> 1.084119863.
    // Vapour pressure from the ratio: e = p W / (0.621945 + W). ASHRAE's gas constant is 287.042: tolerance 1e-4.
    const double vapour = 95461.0 * 0.02 / (0.621945 + 0.02);
    const RelativeHumidity humidity{vapour / saturation_vapour_pressure(celsius(30.0)).si};
    EXPECT_NEAR(moist_air_density({Pressure{95461.0}}, celsius(30.0), humidity).si, 1.084119863, 1.1e-4);
}

TEST(Air, HumidAirIsLighterThanDry) {
    const AbsolutePressure p = kilopascal(100.0);
    EXPECT_LT(moist_air_density(p, celsius(30.0), {0.8}).si, dry_air_density(p, celsius(30.0)).si);
    EXPECT_EQ(moist_air_density(p, celsius(30.0), {0.0}).si, dry_air_density(p, celsius(30.0)).si);
}

TEST(Air, ChargeIsHundredWhenFilledAtItsReferenceState) {
    const Volume swept{0.0005};
    const Mass filled = trapped_air({1.0}, kilopascal(101.325), Temperature{273.15}, swept);
    EXPECT_NEAR(charge_percent(filled, swept), 100.0, 1e-12);
    // By hand: 0.5 l at 101325 / (287.05287 * 273.15) = 1.292271 kg/m3 holds 646.135 mg.
    EXPECT_NEAR(filled.si * 1e6, 646.135, 0.001);
    EXPECT_NEAR(charge_percent(air_at_charge(173.0, swept), swept), 173.0, 1e-12);
}

TEST(Air, FlowAndAirPerStrokeAreOneFigure) {
    // By hand: 6000 rpm, four cylinders: 200 cylinder fillings a second; 200 g/s are 1 g each.
    EXPECT_NEAR(air_per_stroke(MassFlow{0.2}, {6000.0}, 4).si, 0.001, 1e-15);
    EXPECT_NEAR(air_mass_flow(Mass{0.001}, {6000.0}, 4).si, 0.2, 1e-15);
}

}  // namespace
}  // namespace revwright
