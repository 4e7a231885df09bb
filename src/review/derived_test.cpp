#include "review/derived.h"

#include <gtest/gtest.h>
#include <limits>

#include "review/review_test_log.h"

namespace revwright {
namespace {

const Engine kEngine = testing::test_job().engine;

Channel channel(Signal signal, std::vector<double> values) {
    Channel made;
    made.key = ChannelKey{signal};
    made.values = std::move(values);
    return made;
}

Log log_of(std::vector<double> times, std::vector<Channel> channels) {
    Log log;
    log.time_bases = {{std::move(times)}};
    log.channels = std::move(channels);
    return log;
}

const double kNone = std::numeric_limits<double>::quiet_NaN();

/// By hand: 100 g/s at 6,000 rpm is 1 g a revolution, 2 g a cycle, 500 mg for each of four cylinders; 499.5 cm3 of dry
/// air at 101.325 kPa and 273.15 K weigh 101325 / (287.05287 * 273.15) * 499.5 = 645.5 mg, so charge is 77.46 %.
TEST(Derived, ChargeComesFromAirFlowAndEngineSpeed) {
    const Log log = log_of({0, 1, 2}, {channel(Signal::engine_speed_rpm, {6000, 6000, 0}),
                                       channel(Signal::air_mass_flow_g_s, {100, kNone, 100})});
    const auto stroke = samples_of(log, kEngine, {Signal::air_per_stroke_mg});
    const auto charge = samples_of(log, kEngine, {Signal::charge_pct});
    ASSERT_TRUE(stroke && charge);
    ASSERT_EQ(stroke->values.size(), 1u) << "no sample where flow is blank or the engine stands";
    EXPECT_NEAR(stroke->values[0], 500.0, 1e-9);
    EXPECT_NEAR(charge->values[0], 77.46, 0.01);
}

TEST(Derived, WhatIsLoggedIsTakenAsItIsWithoutBlanks) {
    const Log log = log_of({0, 1, 2}, {channel(Signal::charge_pct, {50, kNone, 60})});
    const auto charge = samples_of(log, kEngine, {Signal::charge_pct});
    ASSERT_TRUE(charge);
    EXPECT_EQ(charge->times, (std::vector<double>{0, 2}));
    EXPECT_EQ(charge->values, (std::vector<double>{50, 60}));
    EXPECT_NEAR(samples_of(log, kEngine, {Signal::air_per_stroke_mg})->values[0], 0.5 * 645.5, 0.1);
    EXPECT_FALSE(samples_of(log, kEngine, {Signal::air_mass_flow_g_s})) << "needs engine speed";
}

TEST(Derived, ManifoldStandsInForBoostOnlyWhileTheThrottleIsOpen) {
    const Log log = log_of({0, 1, 2, 3}, {channel(Signal::manifold_pressure_kpa, {40, 150, 180, 90}),
                                          channel(Signal::throttle_pct, {10, 90, 100, 60})});
    const auto boost = samples_of(log, kEngine, {Signal::boost_pressure_kpa});
    ASSERT_TRUE(boost);
    EXPECT_EQ(boost->times, (std::vector<double>{1, 2}));
    EXPECT_EQ(boost->values, (std::vector<double>{150, 180}));
    const Log without = log_of({0, 1}, {channel(Signal::manifold_pressure_kpa, {40, 150})});
    EXPECT_FALSE(samples_of(without, kEngine, {Signal::boost_pressure_kpa}));
}

}  // namespace
}  // namespace revwright
