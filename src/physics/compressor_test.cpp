#include "physics/compressor.h"

#include <cmath>
#include <fstream>
#include <gtest/gtest.h>
#include <sstream>

#include "formats/compressor_map/reader.h"

namespace revwright {
namespace {

// Computed from the definition for three reference states in use; the states are from memory, the figures follow.
TEST(Compressor, CorrectedFlowFollowsItsReferenceState) {
    const struct {
        double kelvin, kpa, flow;
    } rows[] = {{298.0, 100.0, 0.267602}, {288.15, 101.325, 0.275743}, {302.6, 96.2, 0.255469}};
    for (const auto& row : rows) {
        const CompressorReference reference{kelvin(row.kelvin), kilopascal(row.kpa)};
        EXPECT_NEAR(corrected_flow({0.25}, kelvin(308.15), kilopascal(95.0), reference).si, row.flow, 5e-7);
    }
    const CompressorReference reference{kelvin(298.0), kilopascal(100.0)};
    EXPECT_DOUBLE_EQ(shaft_speed_rpm(100'000.0, kelvin(298.0), reference), 100'000.0);
    EXPECT_NEAR(shaft_speed_rpm(100'000.0, kelvin(298.0 * 1.21), reference), 110'000.0, 1e-6);
}

// Worked examples of textbooks (Gupta 15.5, 15.1; Rajput 16.1; Mathur 17.1), recomputed to the digits given here.
TEST(Compressor, OutletTemperatureAndPowerMatchWorkedExamples) {
    const struct {
        double kelvin, ratio, efficiency, outlet;
    } rows[] = {{290.0, 1.8, 0.90, 348.923}, {288.0, 1.6, 0.74, 343.935},  {325.0, 1.6, 0.70, 391.727},
                {300.0, 1.7, 0.75, 365.482}, {298.15, 2.0, 0.75, 385.215}, {303.15, 2.4, 0.70, 426.228}};
    for (const auto& row : rows)
        EXPECT_NEAR(compressor_outlet(kelvin(row.kelvin), row.ratio, row.efficiency).si, row.outlet, 0.0006);
    // 87.5006 kJ/kg at ratio 2.0 and efficiency 0.75 from 298.15 K.
    EXPECT_NEAR(compressor_power({1.0}, kelvin(298.15), compressor_outlet(kelvin(298.15), 2.0, 0.75)).si, 87500.6, 0.5);
}

CompressorMap small_map() {
    return *CompressorMap::make(
        {{.speed_rpm = 60000.0, .points = {{0.04, 1.5, 0.62}, {0.08, 1.4, 0.70}, {0.12, 1.2, 0.58}}},
         {.speed_rpm = 90000.0, .points = {{0.07, 2.2, 0.64}, {0.12, 2.0, 0.74}, {0.18, 1.5, 0.57}}}});
}

TEST(Compressor, BetweenTwoLinesAPointLiesBetween) {
    const CompressorMap map = small_map();
    // Half way in speed: surge end 0.055 kg/s, ratio 1.85; choke end 0.15 kg/s, ratio 1.35.
    EXPECT_NEAR(map_ratio(map, 75000.0, {0.055}), 1.85, 1e-12);
    EXPECT_NEAR(map_ratio(map, 75000.0, {0.15}), 1.35, 1e-12);
    EXPECT_NEAR(surge_flow(map, 1.85).si, 0.055, 1e-12);
    EXPECT_NEAR(surge_margin(map, {0.11}, 1.85), 0.5, 1e-12);
    const CompressorPlace place = place_in(map, {0.15}, 1.35);
    EXPECT_EQ(place.range, CompressorPlace::Range::inside);
    EXPECT_NEAR(place.map_speed_rpm, 75000.0, 1e-3);
    EXPECT_NEAR(place.choke_flow_kg_s, 0.15, 1e-9);
    EXPECT_NEAR(place.along, 1.0, 1e-6);
}

TEST(Compressor, BesideTheMapThePlaceSaysSo) {
    const CompressorMap map = small_map();
    EXPECT_EQ(place_in(map, {0.10}, 2.5).range, CompressorPlace::Range::faster);
    EXPECT_EQ(place_in(map, {0.10}, 1.1).range, CompressorPlace::Range::slower);
    EXPECT_LT(surge_margin(map, {0.05}, 2.0), 0.0);
    EXPECT_GT(place_in(map, {0.17}, 1.40).along, 1.0);  // more flow than that speed passes
}

TEST(Compressor, SpeedIsTheInverseOfTheMapEverywhere) {
    const CompressorMap map = small_map();
    for (double speed = 60500.0; speed < 90000.0; speed += 750.0)
        for (double share = 0.02; share < 1.0; share += 0.07) {
            const double part = (speed - 60000.0) / 30000.0;
            const double flow = std::lerp(std::lerp(0.04, 0.07, part), std::lerp(0.12, 0.18, part), share);
            const CompressorPlace place = place_in(map, {flow}, map_ratio(map, speed, {flow}));
            EXPECT_NEAR(place.map_speed_rpm, speed, 0.01);
        }
}

/// A measured map that lies beside the project where it is developed; the tests that need it are skipped elsewhere.
std::optional<CompressorMap> measured_map() {
    for (const char* path :
         {"../shared/data/compressor-map/SampleCMAP.csv", "shared/data/compressor-map/SampleCMAP.csv"}) {
        std::ifstream file(path);
        if (!file) continue;
        std::string header;
        std::getline(file, header);
        std::ostringstream body;
        body << "rpm,kg_s,pressure_ratio,efficiency\n" << file.rdbuf();  // its own header names no units
        auto map = compressor_csv::read(body.str(), path);
        EXPECT_TRUE(map) << describe(map.error());
        return map ? std::optional(std::move(*map)) : std::nullopt;
    }
    return std::nullopt;
}

TEST(Compressor, AMeasuredMapIsReadWholeAndGivesItsPointsBack) {
    const auto map = measured_map();
    if (!map) GTEST_SKIP() << "the measured map is not here";
    ASSERT_EQ(map->lines().size(), 13u);
    std::size_t points = 0;
    for (const CompressorSpeedLine& line : map->lines()) {
        points += line.points.size();
        for (std::size_t i = 0; i < line.points.size(); ++i) {
            const CompressorMapPoint& point = line.points[i];
            if (i > 0) {
                EXPECT_LT(point.ratio, line.points[i - 1].ratio) << line.speed_rpm;
            }
            EXPECT_NEAR(map_ratio(*map, line.speed_rpm, {point.flow_kg_s}), point.ratio, 1e-9);
            const CompressorPlace place = place_in(*map, {point.flow_kg_s}, point.ratio);
            EXPECT_NEAR(place.map_speed_rpm / line.speed_rpm, 1.0, 1e-6);
            EXPECT_NEAR(place.efficiency, point.efficiency, 1e-4);
        }
        EXPECT_NEAR(surge_margin(*map, {line.points[0].flow_kg_s}, line.points[0].ratio), 0.0, 1e-12);
    }
    EXPECT_EQ(points, 93u);
}

// Best efficiency 0.7913 at 91,772 rpm, 0.1974 kg/s, ratio 2.053: 384.1 K and 17.1 kW from 298.15 K.
TEST(Compressor, TheMeasuredMapsBestPointHeatsAndTakesAsComputed) {
    const auto map = measured_map();
    if (!map) GTEST_SKIP() << "the measured map is not here";
    const CompressorPlace best = place_in(*map, {0.1974}, 2.053);
    EXPECT_NEAR(best.efficiency, 0.7913, 1e-5);
    const Temperature outlet = compressor_outlet(kelvin(298.15), 2.053, best.efficiency);
    EXPECT_NEAR(outlet.si, 384.1, 0.05);
    EXPECT_NEAR(compressor_power({0.1974}, kelvin(298.15), outlet).si / 1000.0, 17.1, 0.06);
}

}  // namespace
}  // namespace revwright
