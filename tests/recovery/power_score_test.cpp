#include "recovery/power_score.h"

#include <gtest/gtest.h>

#include "recovery/full_load_curves.h"

namespace revwright {
namespace {

constexpr std::uint64_t kSeed = 7;

// Few cases, wide bounds: whether something is broken. How good it is, bench/power_score tells from hundreds.
TEST(PowerScore, DrawnDrivesAreRecovered) {
    PowerScore score;
    for (int i = 0; i < 24; ++i) score.add(judge(nth_power_case(i, kSeed)));
    EXPECT_EQ(score.all.failed, 0);
    EXPECT_LT(score.by_kind.at("known car").torque_rms_pct(), 1.2);
    EXPECT_LT(score.all.difference_rms_pct(), 2.5);
    EXPECT_GT(score.all.torque_inside_pct(), 80.0);
    EXPECT_GT(inside_pct(score.all.power), 80.0);
    EXPECT_LT(std::abs(mean_error_pct(score.all.power)), 1.5);
}

TEST(PowerScore, ALightCarNearItsTopSpeedIsFollowedBothWays) {
    // With what is told of wind and slope it would stall before the end of its pulls: the fit must not begin there.
    const PowerCaseJudged judged = judge(nth_power_case(509, 2'000'000));
    ASSERT_TRUE(judged.failed.empty()) << judged.failed;
    for (const CurveJudged& curve : judged.curves) EXPECT_LT(curve.rms_pct(), 6.0);
}

TEST(PowerScore, OpenFullLoadCurvesAreRecovered) {
    const auto vehicles = read_full_load_vehicles("../shared/data/full-load-curves");
    if (!vehicles) GTEST_SKIP() << "../shared/data/full-load-curves is not here";
    ASSERT_EQ(vehicles->size(), 58u);
    int inside = 0;
    for (std::size_t i = 0; i < vehicles->size(); i += 6) {
        const PowerCaseJudged judged = judge(full_load_case((*vehicles)[i], kSeed));
        ASSERT_TRUE(judged.failed.empty()) << judged.failed;
        inside += judged.power.front().inside ? 1 : 0;
    }
    EXPECT_GE(inside, 8);  // of ten
}

}  // namespace
}  // namespace revwright
