#include "recovery/second_score.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

std::string all(const std::vector<std::string>& misses) {
    std::string text;
    for (const std::string& miss : misses) text += miss + "\n";
    return text;
}

// A few of the faults and clean logs; `make bench` scores three hundred.
TEST(SecondScore, FaultsWrittenIntoLogsAreFound) {
    const Score score = score_second(20, 400);
    SCOPED_TRACE(all(score.misses));
    EXPECT_EQ(score.logs, 20);
    EXPECT_GE(score.found_pct(), 90.0);
    EXPECT_GE(score.pulls_found_pct(), 95.0);
    EXPECT_GE(score.pulls_right_pct(), 95.0);
    EXPECT_EQ(score.clean_logs_accused, 0);
}

// A score that can not tell a fault from none is worth nothing.
TEST(SecondScore, AFaultThatTheReviewOverlooksCountsAsMissed) {
    ScoreCase one = second_case(second_setup(0, 400));
    ASSERT_TRUE(one.fault.has_value());
    one.review.findings.clear();
    Score score;
    add(score, one);
    EXPECT_EQ(score.planted, 1);
    EXPECT_EQ(score.found, 0);
    EXPECT_FALSE(score.misses.empty());
}

TEST(SecondScore, AFindingFarFromTheFaultDoesNotCount) {
    ScoreCase one = second_case(second_setup(0, 400));
    ASSERT_TRUE(one.fault && one.fault->engine_speed_rpm);
    Finding finding{.check = one.fault->checks.front(), .severity = Severity::stop};
    finding.engine_speed_rpm = *one.fault->engine_speed_rpm + 401.0;
    one.review.findings = {finding};
    Score far;
    add(far, one);
    EXPECT_EQ(far.found, 0);
    one.review.findings.front().engine_speed_rpm -= 2.0;
    Score near;
    add(near, one);
    EXPECT_EQ(near.found, 1);
}

TEST(SecondScore, AStopOnACleanLogIsAFalseAlarm) {
    ScoreCase one = second_case(second_setup(4, 404));
    ASSERT_FALSE(one.fault.has_value());
    one.review.findings = {{.check = "battery", .severity = Severity::watch}};
    Score watched;
    add(watched, one);
    EXPECT_EQ(watched.clean_logs_accused, 0);
    EXPECT_EQ(watched.by_check["battery"].watched, 1);
    one.review.findings = {{.check = "oil-window", .severity = Severity::mend}};
    Score accused;
    add(accused, one);
    EXPECT_EQ(accused.clean_logs_accused, 1);
}

TEST(SecondScore, TheSameSetupGivesTheSameLog) {
    const auto setup = second_setup(7, 407);
    EXPECT_EQ(second::second_log(setup).csv, second::second_log(setup).csv);
}

}  // namespace
}  // namespace revwright
