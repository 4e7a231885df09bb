#include "physics/power_correction.h"

#include <cmath>
#include <gtest/gtest.h>

namespace revwright {
namespace {

TestAir air(double kpa, double c) { return {kilopascal(kpa), celsius(c)}; }
TestAir air(double kpa, double c, double humidity) { return {kilopascal(kpa), celsius(c), RelativeHumidity{humidity}}; }

// Worked by hand from the two formulas, dry air; the last two columns say whether the standard stands for them.
constexpr struct {
    double kpa, c, j1349, iso;
    bool j1349_holds, iso_holds;
} kRows[] = {
    {99.0, 25.0, 1.00000, 1.00000, true, true},     {101.325, 25.0, 0.97292, 0.97253, true, true},
    {101.325, 15.0, 0.95341, 0.95281, false, true}, {100.0, 20.0, 0.97836, 0.97803, true, true},
    {97.0, 30.0, 1.03439, 1.03508, false, true},    {95.0, 35.0, 1.07015, 1.07175, false, false},
    {103.0, 5.0, 0.91545, 0.91465, false, false},   {90.0, 15.0, 1.09604, 1.09844, false, false},
};

TEST(PowerCorrection, FollowsBothLawsAndTheirLimits) {
    for (const auto& row : kRows) {
        SCOPED_TRACE(row.kpa);
        EXPECT_NEAR(sae_j1349(air(row.kpa, row.c)).factor, row.j1349, 5e-6);
        EXPECT_NEAR(iso_1585(air(row.kpa, row.c)).factor, row.iso, 5e-6);
        EXPECT_EQ(sae_j1349(air(row.kpa, row.c)).within_limits, row.j1349_holds);
        EXPECT_EQ(iso_1585(air(row.kpa, row.c)).within_limits, row.iso_holds);
    }
}

TEST(PowerCorrection, HumidAirIsThinner) {
    // Dry pressures with the saturation pressure of [WagnerPruss2002], factors by hand.
    EXPECT_NEAR(dry_pressure(air(98.0, 35.0, 0.4)).value.si, 95748.4, 0.1);
    EXPECT_NEAR(sae_j1349(air(98.0, 35.0, 0.4)).factor, 1.06038, 1e-5);
    EXPECT_NEAR(iso_1585(air(98.0, 35.0, 0.4)).factor, 1.06171, 1e-5);
    EXPECT_NEAR(sae_j1349(air(84.556, 20.0, 0.5)).factor, 1.20915, 1e-5);
    EXPECT_NEAR(iso_1585(air(84.556, 20.0, 0.5)).factor, 1.21629, 1e-5);
    EXPECT_FALSE(iso_1585(air(84.556, 20.0, 0.5)).within_limits);
}

TEST(PowerCorrection, IsoLimitsFallWhereTheLawPutsThem) {
    // At 25 C: 99 / 1.07^(1/1.2) and 99 / 0.93^(1/1.2) kPa.
    EXPECT_TRUE(iso_1585(air(93.573, 25.0)).within_limits);
    EXPECT_FALSE(iso_1585(air(93.572, 25.0)).within_limits);
    EXPECT_TRUE(iso_1585(air(105.171, 25.0)).within_limits);
    EXPECT_FALSE(iso_1585(air(105.172, 25.0)).within_limits);
}

TEST(PowerCorrection, AHotDayAtLowPressureRaisesPower) {
    EXPECT_GT(sae_j1349(air(95.0, 35.0)).factor, 1.0);
    // The inner term D alone, as a vehicle maker's workshop sheet (AH00.10-P-2010-02A, power-correction table) prints
    // it to four digits: J1349 is 1.18 D - 0.18.
    constexpr struct {
        double hpa, c, d;
    } kSheet[] = {{1040, 0, 0.9111},  {1040, 25, 0.9519}, {1040, 50, 0.9910}, {1015, 25, 0.9754}, {1000, 0, 0.9476},
                  {1000, 20, 0.9817}, {1000, 25, 0.9900}, {1000, 50, 1.0307}, {990, 0, 0.9571}};
    for (const auto& row : kSheet)
        EXPECT_NEAR((sae_j1349(air(row.hpa / 10.0, row.c)).factor + 0.18) / 1.18, row.d, 6e-5) << row.hpa << row.c;
}

}  // namespace
}  // namespace revwright
