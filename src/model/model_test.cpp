#include <gtest/gtest.h>

#include "model/axis.h"
#include "model/channel.h"
#include "model/limits.h"
#include "model/proposal.h"
#include "model/role.h"
#include "model/table.h"

namespace revwright {
namespace {

TEST(Channel, EveryCanonicalNameGoesThereAndBack) {
    for (const SignalInfo& row : all_signals()) {
        EXPECT_EQ(channel_key(row.name), (ChannelKey{row.signal, 0}));
        EXPECT_EQ(to_string(ChannelKey{row.signal, 0}), row.name);
    }
    EXPECT_EQ(channel_key("knock_retard_deg.3"), (ChannelKey{Signal::knock_retard_deg, 3}));
    EXPECT_EQ(to_string(ChannelKey{Signal::lambda, 2}), "lambda.2");
}

TEST(Channel, RefusesSuffixesThatMeanNothing) {
    for (const char* name : {"lambda.3", "lambda.0", "lambda.", "lambda.1x", "lambda.01", "pedal_pct.1", "Lambda", ""})
        EXPECT_FALSE(channel_key(name)) << name;
}

TEST(Axis, RefusesPointsThatDoNotRise) {
    EXPECT_TRUE(Axis::make("T", {Signal::engine_speed_rpm}, {1000.0, 2000.0}));
    const auto falling = Axis::make("T", {Signal::engine_speed_rpm}, {1000.0, 2000.0, 2000.0});
    ASSERT_FALSE(falling);
    EXPECT_EQ(falling.error().what,
              "axis engine_speed_rpm of table T must rise from point to point, found 2000 then 2000");
    EXPECT_FALSE(Axis::make("T", {Signal::engine_speed_rpm}, {}));
}

Table small_map() {
    Table table;
    table.axes = {*Axis::make("T", {Signal::engine_speed_rpm}, {1000.0, 2000.0, 4000.0}),
                  *Axis::make("T", {Signal::charge_pct}, {50.0, 100.0})};
    table.values = {0.0, 1.0, 2.0, 3.0, 4.0, 5.0};
    return table;
}

TEST(Table, CellsAreCountedRowMajor) {
    const Table table = small_map();
    for (std::size_t flat = 0; flat < 6; ++flat) EXPECT_EQ(table.flat(table.at(flat)), flat);
    EXPECT_EQ(table.at(3), (CellIndex{1, 1}));
}

TEST(Table, ReadsBilinearlyAndClampsAtTheEdge) {
    const Table table = small_map();
    EXPECT_DOUBLE_EQ(value_at(table, std::vector{1500.0, 75.0}), 1.5);
    EXPECT_DOUBLE_EQ(value_at(table, std::vector{9000.0, 10.0}), 4.0);
    double sum = 0.0;
    for (const CellWeight& cell : weights_at(table, std::vector{3000.0, 60.0})) sum += cell.weight;
    EXPECT_DOUBLE_EQ(sum, 1.0);
    EXPECT_EQ(weights_at(table, std::vector{2000.0, 50.0}).size(), 1u);
}

TEST(Limits, AnOverrideMovesAllStepsTogetherAndSaysWhy) {
    Limits limits(true);
    EXPECT_DOUBLE_EQ(*limits.at("lambda_max").mend, 0.92);
    limits.override_with("exhaust_temp_c", {1000.0, "cast steel housing"});
    EXPECT_DOUBLE_EQ(*limits.at("exhaust_temp_c").mend, 1000.0);
    EXPECT_DOUBLE_EQ(*limits.at("exhaust_temp_c").stop, 1030.0);
    EXPECT_EQ(limits.at("exhaust_temp_c").source, "job sheet: cast steel housing");
    limits.override_with("lambda_max", {0.88, "hot by design"});
    EXPECT_DOUBLE_EQ(*limits.at("lambda_max").mend, 0.90);
    EXPECT_DOUBLE_EQ(*limits.at("lambda_max").stop, 0.93);
    limits.override_with("shift_time_s", {0.4, "agreed"});
    EXPECT_DOUBLE_EQ(*limits.at("shift_time_s").watch, 0.4);
}

TEST(Names, RolesAndBoundsGoThereAndBack) {
    for (int i = 0; i <= static_cast<int>(Role::shift_time); ++i)
        EXPECT_EQ(role_named(to_string(static_cast<Role>(i))), static_cast<Role>(i));
    for (int i = 0; i <= static_cast<int>(Bound::goal); ++i)
        EXPECT_EQ(bound_named(to_string(static_cast<Bound>(i))), static_cast<Bound>(i));
    EXPECT_FALSE(role_named("ignition"));
}

}  // namespace
}  // namespace revwright
