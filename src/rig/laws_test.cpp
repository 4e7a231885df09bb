#include <array>
#include <cmath>
#include <gtest/gtest.h>
#include <numbers>

#include "rig/air_path.h"
#include "rig/combustion.h"
#include "rig/exhaust.h"
#include "rig/knock.h"
#include "rig/sensors.h"

namespace revwright::rig {
namespace {

const Hidden kCar;
constexpr double kVolume = 0.001998;

double torque(double air, double lambda, double spark_share, double manifold = 200.0) {
    return crank_torque_nm({.engine_speed_rpm = 4500.0,
                            .air_flow_kg_s = air,
                            .lambda = lambda,
                            .spark_efficiency = spark_share,
                            .manifold_kpa = manifold,
                            .exhaust_kpa = 1.08 * manifold},
                           kCar, kVolume, 14.572, 43.2e6);
}

TEST(Laws, MoreAirMakesMoreTorque) { EXPECT_GT(torque(0.16, 0.86, 0.95), torque(0.15, 0.86, 0.95) + 15.0); }

TEST(Laws, RicherThanBestCostsTorqueAndCoolsTheExhaust) {
    EXPECT_LT(torque(0.15, 0.78, 0.95), torque(0.15, 0.85, 0.95));
    const ExhaustInput rich{.air_flow_kg_s = 0.15, .spark_retard_deg = 12.0, .lambda = 0.80};
    const ExhaustInput less{.air_flow_kg_s = 0.15, .spark_retard_deg = 12.0, .lambda = 0.85};
    // Prior of METHODS: 5 +- 2 K per 0.01 lambda.
    EXPECT_NEAR(settled_exhaust_temp_c(less, kCar) - settled_exhaust_temp_c(rich, kCar), 25.0, 10.0);
}

TEST(Laws, RetardCostsTorqueAndHeatsTheExhaust) {
    EXPECT_LT(spark_efficiency(24.0, 8.0, 4.6e-4), spark_efficiency(24.0, 12.0, 4.6e-4));
    const ExhaustInput near{.air_flow_kg_s = 0.15, .spark_retard_deg = 10.0};
    const ExhaustInput far{.air_flow_kg_s = 0.15, .spark_retard_deg = 14.0};
    // 8 +- 3 K per degree.
    EXPECT_NEAR(settled_exhaust_temp_c(far, kCar) - settled_exhaust_temp_c(near, kCar), 32.0, 12.0);
}

// Russ, SAE 960497: 1 ON per 7 K, 3 to 4 ON per 10 kPa, 1 degree per ON.
TEST(Laws, BorderlineSparkFollowsThePublishedSensitivities) {
    const KnockConditions fuel;
    const KnockPoint here{
        .engine_speed_rpm = 4000.0, .manifold_kpa = 200.0, .exhaust_kpa = 216.0, .charge_temp_c = 47.0};
    const double base = borderline_spark_deg(here, fuel, kCar);
    KnockPoint hotter = here;
    hotter.charge_temp_c += 7.0;
    EXPECT_NEAR(borderline_spark_deg(hotter, fuel, kCar) - base, -1.0, 0.05);
    KnockPoint denser = here;
    denser.manifold_kpa += 10.0;
    denser.exhaust_kpa += 10.8;
    EXPECT_NEAR(borderline_spark_deg(denser, fuel, kCar) - base, -3.5, 0.5);
    KnockConditions better = fuel;
    better.ron += 1.0;
    EXPECT_NEAR(borderline_spark_deg(here, better, kCar) - base, 1.0, 1e-9);
}

TEST(Laws, OneInAHundredKnocksAtBorderline) {
    EXPECT_NEAR(knock_probability(12.0, 12.0, 0.9), 0.01, 1e-12);
    Random random{11};
    const double p = knock_probability(14.0, 12.0, 0.9);
    constexpr int kEvents = 50000;
    int knocks = 0;
    for (int i = 0; i < kEvents; ++i) knocks += random.chance(p) ? 1 : 0;
    EXPECT_NEAR(knocks, kEvents * p, 4.0 * std::sqrt(kEvents * p * (1.0 - p)));
}

TEST(Laws, KnockControlStepsBackHoldsItsCeilingAndComesForward) {
    KnockControl control{kCar, 4};
    control.knocked(2);
    EXPECT_DOUBLE_EQ(control.retard_deg(2), kCar.knock_step_deg);
    EXPECT_DOUBLE_EQ(control.retard_deg(1), 0.0);
    for (int i = 0; i < 100; ++i) control.recover(0.01);
    EXPECT_NEAR(control.retard_deg(2), kCar.knock_step_deg - kCar.knock_recovery_deg_per_s, 0.02);
    for (int i = 0; i < 20; ++i) control.knocked(2);
    EXPECT_DOUBLE_EQ(control.retard_deg(2), kCar.knock_ceiling_deg);
}

// First law: crank power, and what leaves as exhaust heat, must stay below the fuel's energy.
TEST(Laws, CrankPowerIsAPlausibleShareOfTheFuelEnergy) {
    const double air = 0.15, lambda = 0.86;
    const double fuel_w = air / (14.572 * lambda) * 43.2e6;
    const double crank_w = torque(air, lambda, 0.92) * 4500.0 * std::numbers::pi / 30.0;
    const double exhaust_w =
        air * 1.08 * 1150.0 *
        settled_exhaust_temp_c({.air_flow_kg_s = air, .spark_retard_deg = 13.0, .lambda = lambda}, kCar);
    EXPECT_GT(crank_w / fuel_w, 0.26);
    EXPECT_LT(crank_w / fuel_w, 0.36);
    EXPECT_LT(crank_w + exhaust_w, fuel_w);
}

// A step of lambda: the sensor answers after a + b / flow, and is at 63 % one lag later.
TEST(Laws, LambdaArrivesAfterItsDelayAndLag) {
    for (const double flow : {0.03, 0.08, 0.16}) {
        LambdaProbe probe{kCar};
        for (int i = 0; i < 600; ++i) probe.step(1.0, flow, 0.18);
        int moved = -1, settled = -1;
        for (int ms = 1; ms < 1000 && settled < 0; ++ms) {
            probe.step(0.8, flow, 0.18);
            if (moved < 0 && probe.reading() < 0.9999) moved = ms;
            if (probe.reading() < 1.0 - 0.2 * (1.0 - std::exp(-1.0))) settled = ms;
        }
        const double delay_ms = 1e3 * (kCar.lambda_delay_s + kCar.lambda_volume_kg / flow);
        EXPECT_NEAR(moved, delay_ms, 3.0) << flow;
        EXPECT_NEAR(settled - moved, 1e3 * kCar.lambda_lag_s, 3.0) << flow;
    }
}

// Textbook point: 2.0 pressure ratio and 0.75 efficiency heat 298 K air to 385 K; a cooler of 0.8 brings 316 K.
TEST(Laws, ChargeCoolerSoaksThroughAPullAndRecoversInCruise) {
    const AirPathData data;
    const Day day;
    AirState state;
    state.charge_temp_c = 28.0;
    const auto run = [&](AirInput in, double seconds) {
        for (int i = 0; i < static_cast<int>(seconds * 500.0); ++i) step_air(0.002, in, data, kCar, day, state);
        return state.charge_temp_c;
    };
    const AirInput full{
        .engine_speed_rpm = 4500.0, .throttle_pct = 100.0, .wastegate_duty = 0.35, .road_speed_m_s = 28.0};
    const AirInput cruise{.engine_speed_rpm = 2300.0, .throttle_pct = 25.0, .road_speed_m_s = 25.0};
    const double early = run(full, 3.0);
    const double late = run(full, 9.0);
    EXPECT_GT(late, early + 1.0);
    EXPECT_LT(late, 62.0);
    EXPECT_LT(run(cruise, 20.0), 32.0);
}

TEST(Laws, FreerExhaustRaisesBoostAndLowersBackPressure) {
    AirPathData standard, freer;
    freer.exhaust_drop_kpa = 24.0;
    EXPECT_GT(shut_pressure_ratio(0.15, freer, kCar), shut_pressure_ratio(0.15, standard, kCar));
    EXPECT_LT(exhaust_pressure_kpa(0.15, 2.0, 4500.0, freer, 99.5),
              exhaust_pressure_kpa(0.15, 2.0, 4500.0, standard, 99.5));
}

}  // namespace
}  // namespace revwright::rig
