#include "recovery/rig_score.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

std::string all(const std::vector<std::string>& misses) {
    std::string text;
    for (const std::string& miss : misses) text += miss + "\n";
    return text;
}

// A few of the faults and clean runs; `make bench` scores six hundred logs.
TEST(RigScore, PlantedFaultsAreFoundAndPullsToldApart) {
    const Score score = score_rig(25, 9000);
    SCOPED_TRACE(all(score.misses));
    EXPECT_EQ(score.planted, 20);
    EXPECT_GE(score.found_pct(), 95.0);
    EXPECT_GE(score.pulls_found_pct(), 98.0);
    EXPECT_GE(score.pulls_right_pct(), 98.0);
    EXPECT_GE(score.stretches_refused_pct(), 95.0);
    EXPECT_EQ(score.clean_logs_accused, 0);
}

}  // namespace
}  // namespace revwright
