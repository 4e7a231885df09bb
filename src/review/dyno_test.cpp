#include <gtest/gtest.h>

#include "review/directions.h"
#include "review/pulls.h"
#include "review/review.h"
#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::DriveOptions;
using testing::Moment;
using testing::TestDrive;

/// Held at 3,000, 4,000 and 5,000 rpm, each for 4 s, with half a second from one to the next.
Log holds(DriveOptions options = {}) {
    TestDrive drive(std::move(options));
    drive.idle(4.0).cruise(5.0, 4, 3000.0);
    drive.full(4, 3000.0, 3000.0, 4.0).full(4, 3000.0, 4000.0, 0.5);
    drive.full(4, 4000.0, 4000.0, 4.0).full(4, 4000.0, 5000.0, 0.5).full(4, 5000.0, 5000.0, 4.0);
    return drive.cruise(5.0, 4, 2500.0).log();
}

RunEntry entry_at(RunPlace place) {
    RunEntry entry;
    entry.log = "test.csv";
    entry.place = place;
    return entry;
}

Review reviewed(const Log& log, const RunEntry& entry) {
    const DrivenLog driven{.log = &log, .run = &entry};
    return review(testing::test_job(), {&driven, 1});
}

TEST(Dynamometer, FullPedalAtOneSpeedIsASettledPointOnABrakeOnly) {
    for (const double hz : {25.0, 10.0, 5.0}) {
        SCOPED_TRACE(hz);
        const Log log = holds({.hz = hz});
        const PullSearch found = find_pulls(log, testing::test_job(), 0, RunPlace::brake_dyno);
        ASSERT_EQ(found.pulls.size(), 3u);
        for (std::size_t i = 0; i < 3; ++i) {
            const Pull& hold = found.pulls[i];
            EXPECT_EQ(hold.kind, PullKind::hold);
            EXPECT_EQ(hold.index, i);
            EXPECT_EQ(hold.gear, 4);
            EXPECT_NEAR(0.5 * (hold.speed_from_rpm + hold.speed_to_rpm), 3000.0 + 1000.0 * static_cast<double>(i),
                        45.0);
            EXPECT_NEAR(hold.start_s, 9.0 + 4.5 * static_cast<double>(i), 1.0 / hz + 0.05);
            EXPECT_NEAR(hold.end_s, 13.0 + 4.5 * static_cast<double>(i), 1.0 / hz + 0.05);
        }
        for (const Pull& pull : find_pulls(log, testing::test_job(), 0).pulls)
            EXPECT_EQ(pull.kind, PullKind::acceleration) << "nothing holds a car on the road";
    }
}

TEST(Dynamometer, AHoldIsJudgedAsAPullAndAGoodOneIsNotAccused) {
    const RunEntry entry = entry_at(RunPlace::brake_dyno);
    for (const Finding& finding : reviewed(holds(), entry).findings)
        EXPECT_LT(finding.severity, Severity::mend) << finding.check << ": " << finding.text;
    DriveOptions lean;
    lean.tweak = [](Moment& m) {
        if (m.pedal > 95.0 && m.rpm > 3900.0 && m.rpm < 4100.0) m.mixture = 0.96;
    };
    const Review found = reviewed(holds(lean), entry);
    const auto finding = std::ranges::find(found.findings, "lambda-lean", &Finding::check);
    ASSERT_NE(finding, found.findings.end());
    EXPECT_EQ(finding->severity, Severity::stop);
    EXPECT_EQ(finding->pull, 1u);
    EXPECT_NEAR(finding->engine_speed_rpm, 4000.0, 20.0);
}

TEST(Dynamometer, ARollerTurnsWheelsThatASatelliteSeesStandStill) {
    DriveOptions options;
    options.tweak = [](Moment& m) { m.gnss_kmh = 0.2; };
    TestDrive drive(options);
    drive.clean_pulls(2);
    const Log log = drive.log();
    EXPECT_EQ(find_pulls(log, testing::test_job(), 0, RunPlace::inertia_dyno).pulls.size(), 2u);
    EXPECT_EQ(find_pulls(log, testing::test_job(), 0, RunPlace::road).pulls.size(), 0u);
}

TEST(Dynamometer, RoadAndDynamometerAreCountedApart) {
    TestDrive one, other;
    const Log road = one.clean_pulls(1).log(), roller = other.clean_pulls(1).log();
    const RunEntry on_road = entry_at(RunPlace::road), on_roller = entry_at(RunPlace::inertia_dyno);
    const auto coverage_findings = [&](const RunEntry& second) {
        const DrivenLog driven[] = {{.log = &road, .run = &on_road}, {.log = &roller, .run = &second}};
        const Review found = review(testing::test_job(), driven);
        return std::ranges::count_if(found.findings, [](const Finding& finding) {
            return finding.check == "coverage" && finding.severity == Severity::watch;
        });
    };
    EXPECT_EQ(coverage_findings(on_road), 0) << "two pulls on the road are enough";
    EXPECT_EQ(coverage_findings(on_roller), 2) << "one on the road and one on the roller are not";
}

}  // namespace
}  // namespace revwright
