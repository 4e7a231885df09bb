#include "power/air_power.h"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <map>
#include <numbers>
#include <sstream>
#include <vector>

namespace revwright {
namespace {

constexpr double kRpm = std::numbers::pi / 30.0;

std::vector<AirReading> readings(std::optional<double> lambda) {
    std::vector<AirReading> all;
    for (double rpm = 2500.0; rpm <= 6000.0; rpm += 20.0) all.push_back({rpm, 0.025 * rpm, lambda});
    return all;
}

TEST(AirPower, IsTheEnergyOfTheAirTimesItsEfficiency) {
    const FuelProperties fuel = fuel_properties(0.0);
    const auto found = air_power(readings(0.88), fuel, 0.04);
    ASSERT_TRUE(found);
    // 0.1 kg/s at 4,000 rpm: 43.2 MJ/kg over 14.572, 2.9645 MJ for a kilogram of air (checked in physics/fuel_test).
    const Eigen::Index at = (4000 - 2600) / 50;
    EXPECT_EQ(found->engine_speed_rpm[static_cast<std::size_t>(at)], 4000.0);
    EXPECT_NEAR(found->torque_nm[at] * 4000.0 * kRpm, 0.1 * 2.9645e6 * 0.325 * (1.0 - 0.06 * 1500.0 / 3500.0), 60.0);
    EXPECT_NEAR(found->air_meter[at], 0.04 * found->torque_nm[at], 1e-9);
}

TEST(AirPower, FuelBeyondWhatTheAirBurnsIsNoPower) {
    EXPECT_DOUBLE_EQ(mixture_share(0.88), 1.0);
    EXPECT_NEAR(mixture_share(1.0), 0.98, 1e-9);
    EXPECT_NEAR(mixture_share(0.78), 0.96, 1e-9);
    const FuelProperties fuel = fuel_properties(0.0);
    EXPECT_LT(air_power(readings(0.75), fuel, 0.04)->torque_nm[10],
              air_power(readings(0.88), fuel, 0.04)->torque_nm[10]);
}

TEST(AirPower, IsRefusedWhereItsMeaningEnds) {
    const FuelProperties fuel = fuel_properties(0.0);
    const auto lean = air_power(readings(1.2), fuel, 0.04);
    ASSERT_FALSE(lean);
    EXPECT_TRUE(lean.error().what.starts_with("lambda is 1.20 at 2500 rpm under full load"));
    const auto few = air_power(std::vector<AirReading>(5, {3000.0, 80.0, 0.9}), fuel, 0.04);
    ASSERT_FALSE(few);
    EXPECT_EQ(few.error().what, "5 readings under full load are too few, 12 are needed");
}

TEST(AirPower, WithoutLambdaIsLessSure) {
    const FuelProperties fuel = fuel_properties(0.0);
    EXPECT_GT(air_power(readings(std::nullopt), fuel, 0.04)->covariance(5, 5),
              air_power(readings(0.88), fuel, 0.04)->covariance(5, 5));
}

struct BenchRow {
    double rpm = 0.0, torque_nm = 0.0, fuel_g_s = 0.0;
};

/// The row of most torque in every 500 rpm.
std::vector<BenchRow> full_load_rows(const std::filesystem::path& file) {
    std::ifstream stream(file);
    std::map<long, BenchRow> best;
    for (std::string line; std::getline(stream, line);) {
        std::istringstream cells(line);
        BenchRow row;
        char comma = 0;
        if (!(cells >> row.rpm >> comma >> row.torque_nm >> comma >> row.fuel_g_s)) continue;
        BenchRow& there = best[std::lround(row.rpm / 500.0)];
        if (row.torque_nm > there.torque_nm) there = row;
    }
    std::vector<BenchRow> rows;
    for (const auto& [bin, row] : best) rows.push_back(row);
    return rows;
}

TEST(AirPower, HoldsOnTheBenchWhereFuelAtItsBestOvershoots) {
    // [EPA-NVFEL]: fuel flow is measured, lambda is not in the tables: 0.9 to 1 below 4,000 rpm, and above as much as
    // the boosted engine is known to need for its exhaust (0.75 to 0.85, common practice), the other 0.85 to 0.95.
    const std::filesystem::path folder = "../shared/data/engine-maps";
    if (!std::filesystem::exists(folder)) GTEST_SKIP() << folder << " is not here";
    constexpr double kLevelAndMeter = 0.081;  // sd without the tilt
    for (const auto& [name, rich_low, rich_high] : {std::tuple("2013_Ford_1.6L_EcoBoost.csv", 0.75, 0.85),
                                                    std::tuple("2018_Mazda_2.5L_Skyactiv-G.csv", 0.85, 0.95)}) {
        const std::vector<BenchRow> rows = full_load_rows(folder / name);
        ASSERT_GE(rows.size(), 8u);
        double best = 0.0;
        for (const BenchRow& row : rows)
            best = std::max(best, row.torque_nm * row.rpm * kRpm / (43'200.0 * row.fuel_g_s));
        double overshoot = 0.0;
        for (const BenchRow& row : rows) {
            if (row.rpm < 1500.0) continue;
            const double truth = row.torque_nm * row.rpm * kRpm;
            overshoot = std::max(overshoot, best * 43'200.0 * row.fuel_g_s / truth - 1.0);
            const bool fast = row.rpm > 4000.0;
            for (const double lambda : {fast ? rich_low : 0.9, fast ? rich_high : 1.0}) {
                const double air = 0.001 * row.fuel_g_s * 14.572 * lambda;
                const double ours = air * 2.9645e6 * air_efficiency(row.rpm) * mixture_share(lambda);
                const double sd = std::hypot(kLevelAndMeter, fast ? kAirEfficiencyTiltSd : 0.0);
                EXPECT_NEAR(ours / truth, 1.0, 1.96 * sd) << name << " " << row.rpm << " lambda " << lambda;
            }
        }
        EXPECT_GT(overshoot, 0.08) << name;
    }
}

}  // namespace
}  // namespace revwright
