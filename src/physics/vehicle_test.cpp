#include "physics/vehicle.h"

#include <array>
#include <gtest/gtest.h>

namespace revwright {
namespace {

constexpr Tyre tyre(int width_mm, int aspect_pct, double rim_in) { return {width_mm, aspect_pct, rim_in, 0, {}}; }

/// Coefficients as the regulations print them, speed in km/h.
constexpr RoadLoad per_km_h(double a, double b, double c) { return {{a}, {b * 3.6}, {c * 3.6 * 3.6}}; }

TEST(Vehicle, TyreGivesDiameterCircumferenceAndRadius) {
    // Diameter by the size marking; circumference factor 3.05 [ETRTO, second hand: JRC-CO2MPAS]. Values in mm.
    const struct {
        Tyre size;
        double diameter, circumference, radius;
    } kRows[] = {{tyre(195, 65, 15.0), 634.50, 1935.22, 308.001},
                 {tyre(205, 55, 16.0), 631.90, 1927.29, 306.739},
                 {tyre(225, 40, 18.0), 637.20, 1943.46, 309.311},
                 {tyre(235, 35, 19.0), 647.10, 1973.65, 314.117},
                 {tyre(185, 70, 14.0), 24.196850 * 25.4, 3.05 * 24.196850 * 25.4, 0.970845 * 12.098425 * 25.4}};
    for (const auto& row : kRows) {
        const Length d = tyre_diameter(row.size);
        EXPECT_NEAR(d.si * 1e3, row.diameter, 1e-4) << row.size.width_mm;
        EXPECT_NEAR(rolling_circumference(d).si * 1e3, row.circumference, 0.006) << row.size.width_mm;
        EXPECT_NEAR(rolling_radius(rolling_circumference(d)).si * 1e3, row.radius, 0.001) << row.size.width_mm;
    }
}

TEST(Vehicle, RatioAndRoadSpeedAreOneFigure) {
    // By hand: 205/55 R16, 3000 rpm at 3.5 overall: 99.1180 km/h.
    const Length way = rolling_circumference(tyre_diameter(tyre(205, 55, 16.0)));
    EXPECT_NEAR(in_kilometres_per_hour(road_speed({3000.0}, 3.5, way)), 99.1180, 1e-4);
    EXPECT_NEAR(overall_ratio({3000.0}, kilometres_per_hour(99.1180), way), 3.5, 1e-5);
}

TEST(Vehicle, NearestGearIsTheOneDrivenAndSaysHowFarOff) {
    constexpr std::array kGears{3.6, 2.1, 1.4, 1.0, 0.8};
    const Length way{1.95};
    for (int gear = 1; gear <= 5; ++gear)
        for (const double slip : {-0.04, 0.0, 0.04}) {
            const double ratio = kGears[static_cast<std::size_t>(gear - 1)] * 4.1;
            const Speed v = road_speed({4000.0}, ratio * (1.0 + slip), way);
            const auto match = nearest_gear({4000.0}, v, kGears, 4.1, way);
            ASSERT_TRUE(match);
            EXPECT_EQ(match->gear, gear);
            EXPECT_NEAR(match->relative_error, slip, 1e-12);
        }
}

TEST(Vehicle, NoGearAtStandstillOrWithoutGears) {
    constexpr std::array kGears{3.6, 2.1};
    EXPECT_FALSE(nearest_gear({800.0}, {0.0}, kGears, 4.1, {1.95}));
    EXPECT_FALSE(nearest_gear({0.0}, {10.0}, kGears, 4.1, {1.95}));
    EXPECT_FALSE(nearest_gear({3000.0}, {10.0}, {}, 4.1, {1.95}));
}

struct CoastdownRow {
    double mass, a, c, force_at_65, seconds;
};
// [CFR86.529-98] figure F98-9 (motorcycles): F = A + C v^2 in N with v in km/h; time from 70 to 60 km/h. C is printed
// to three digits: force within 0.3 N, time within 0.02 s.
constexpr CoastdownRow kCoastdown[] = {
    {100.0, 0.0, 0.0224, 94.8, 2.95},    {110.0, 0.82, 0.0227, 96.8, 3.18},   {150.0, 4.32, 0.0238, 104.9, 3.99},
    {200.0, 8.69, 0.0252, 115.1, 4.85},  {250.0, 13.06, 0.0266, 125.3, 5.57}, {300.0, 17.43, 0.0279, 135.4, 6.18},
    {340.0, 20.92, 0.0290, 143.6, 6.60},
};

/// Coasts down in small steps of speed: dt = m dv / F(v).
double coast(double mass, const RoadLoad& load) {
    double seconds = 0.0;
    constexpr int kSteps = 1000;
    for (int i = 0; i < kSteps; ++i) {
        const double v = (70.0 - (i + 0.5) * 10.0 / kSteps) / 3.6;
        seconds += mass * (10.0 / 3.6 / kSteps) / resistance(load, {v}).si;
    }
    return seconds;
}

TEST(Vehicle, RoadLoadMatchesTheRegulationsCoastdownTable) {
    for (const CoastdownRow& row : kCoastdown) {
        const RoadLoad load = per_km_h(row.a, 0.0, row.c);
        EXPECT_NEAR(resistance(load, kilometres_per_hour(65.0)).si, row.force_at_65, 0.3) << row.mass;
        EXPECT_NEAR(coast(row.mass, load), row.seconds, 0.02) << row.mass;
    }
}

TEST(Vehicle, PowerAtSteadySpeedFollowsRollingAndDrag) {
    // By hand for 1500 kg, 0.010, 0.62 m2, 1.2 kg/m3 (kW).
    const RoadLoad load = road_load({1500.0}, 0.010, {0.62}, {1.2});
    constexpr struct {
        double km_h, kw;
    } kRows[] = {{50.0, 3.0397}, {100.0, 12.0594}, {150.0, 33.0389}, {200.0, 71.9582}};
    for (const auto& row : kRows) {
        const Speed v = kilometres_per_hour(row.km_h);
        const Power power = resistance(load, v) * v;
        EXPECT_NEAR(power.si * 1e-3, row.kw, 0.00006) << row.km_h;
    }
    EXPECT_NEAR(slope_force({1500.0}, 0.05).si, 734.581, 0.0006);
    EXPECT_EQ(slope_force({1500.0}, -0.05).si, -slope_force({1500.0}, 0.05).si);
}

TEST(Vehicle, WheelPowerHasTheFormOfTheRegulatorsModel) {
    // [JRC-CO2MPAS]: (f0 + f1 v + f2 v^2 + 1.03 m a) v, v in km/h; 120 / 0.5 / 0.032, 1500 kg, 1 m/s2 at 100 km/h.
    const Speed v = kilometres_per_hour(100.0);
    const Force inertia = 1.03 * (Mass{1500.0} * Acceleration{1.0});
    const Power power = (resistance(per_km_h(120.0, 0.5, 0.032), v) + inertia) * v;
    EXPECT_NEAR(power.si * 1e-3, 56.52778, 0.000006);
}

TEST(Vehicle, EquivalentMassGrowsWithTheSquareOfTheRatio) {
    // By hand: 1500 kg, 0.9 kg m2 a wheel, 0.15 kg m2 engine, 0.308 m.
    constexpr struct {
        double ratio, mass;
    } kRows[] = {{13.5, 1826.125}, {7.5, 1626.892}, {4.8, 1574.380}, {3.6, 1558.442}};
    for (const auto& row : kRows)
        EXPECT_NEAR(equivalent_mass({1500.0}, {0.9}, {0.15}, row.ratio, {0.308}).si, row.mass, 0.0006) << row.ratio;
}

}  // namespace
}  // namespace revwright
