#include "review/knock_events.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>

#include "review/window.h"

namespace revwright {
namespace {

/// Samples every 50 ms.
std::vector<KnockEvent> events_in(const std::vector<double>& retard) {
    std::vector<double> times;
    for (std::size_t i = 0; i < retard.size(); ++i) times.push_back(0.05 * static_cast<double>(i));
    return knock_events_in({times, retard}, 3, 1.0);
}

TEST(KnockEvents, ARiseOfOneDegreeIsAnEventAndLessIsNot) {
    EXPECT_EQ(events_in({0, 0, 0.99, 0.9, 0.8}).size(), 0u);
    const auto one = events_in({0, 0, 1.0, 0.9, 0.8});
    ASSERT_EQ(one.size(), 1u);
    EXPECT_EQ(one[0].cylinder, 3);
    EXPECT_DOUBLE_EQ(one[0].time_s, 0.1);
    EXPECT_DOUBLE_EQ(one[0].rise_deg, 1.0);
}

TEST(KnockEvents, AStepThatTheLoggerSplitsIsOneEvent) {
    const auto one = events_in({0, 0.7, 1.5, 3.0, 2.9, 2.8});
    ASSERT_EQ(one.size(), 1u);
    EXPECT_DOUBLE_EQ(one[0].rise_deg, 3.0);
    EXPECT_DOUBLE_EQ(one[0].retard_deg, 3.0);
}

TEST(KnockEvents, EachStepAfterADecayCountsAndADecayNever) {
    EXPECT_EQ(events_in({0, 3, 2.9, 2.8, 5.8, 5.7, 5.6, 8.6, 8.5}).size(), 3u);
    EXPECT_EQ(events_in({6, 5, 4, 3, 2, 1, 0}).size(), 0u) << "carried in from before the pull";
}

TEST(KnockEvents, ASlowCreepIsNoEvent) {
    EXPECT_EQ(events_in({0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3}).size(), 0u);
}

TEST(Window, HighestHeldIsTheLevelKeptForTheTime) {
    const std::vector<double> times{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6}, values{1, 5, 4, 6, 2, 9, 0};
    const auto held = highest_held({times, values}, 0.3);
    ASSERT_TRUE(held);
    EXPECT_EQ(held->level, 4.0);
    EXPECT_EQ(held->worst, 3u);
    EXPECT_EQ(highest_held({times, values}, 0.1)->level, 9.0);
    EXPECT_FALSE(highest_held({times, values}, 0.8)) << "longer than the series";
}

TEST(Window, HighestHeldDoesNotReachAcrossAGap) {
    const std::vector<double> times{0, 0.1, 0.2, 2.0, 2.1, 2.2}, values{5, 5, 5, 7, 7, 7};
    EXPECT_FALSE(highest_held({times, values}, 0.5));
    EXPECT_EQ(highest_held({times, values}, 0.3)->level, 7.0);
}

TEST(Window, ValuesAlongBridgesBlanksNoFartherThanItsReach) {
    const double none = std::numeric_limits<double>::quiet_NaN();
    const std::vector<double> times{0, 1, 2, 10}, values{0, none, 20, 100}, at{-1, 0, 1, 2, 5, 10, 11};
    const auto found = values_along({times, values}, at, 2.0);
    EXPECT_TRUE(std::isnan(found[0]) && std::isnan(found[4]) && std::isnan(found[6]));
    EXPECT_EQ(found[1], 0.0);
    EXPECT_EQ(found[2], 10.0);
    EXPECT_EQ(found[3], 20.0);
    EXPECT_EQ(found[5], 100.0);
}

}  // namespace
}  // namespace revwright
