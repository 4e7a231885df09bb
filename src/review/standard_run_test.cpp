#include <gtest/gtest.h>

#include "review/review.h"
#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::DriveOptions;
using testing::Moment;
using testing::TestDrive;

/// Two pulls, at this lambda from 4,500 to 5,500 rpm.
Log at_lambda(double lambda) {
    DriveOptions options;
    options.tweak = [=](Moment& m) {
        if (m.pull >= 0 && m.rpm > 4500 && m.rpm < 5500) m.mixture = m.lambda_target = lambda;
    };
    TestDrive drive(options);
    return drive.clean_pulls(2).log();
}

struct Two {
    double standard_lambda = 0.82, later_lambda = 0.94;
    RunPlace standard_place = RunPlace::road;
    bool tied = true;
};

Review reviewed(const Two& two) {
    const Log before = at_lambda(two.standard_lambda), after = at_lambda(two.later_lambda);
    RunEntry first, second;
    first.place = two.standard_place;
    const DrivenLog driven[] = {{.log = &before, .run = &first, .standard = true},
                                {.log = &after, .run = two.tied ? &second : nullptr}};
    return review(testing::test_job(), driven);
}

const Finding& lean_of(const Review& review, std::size_t log) {
    const auto found = std::ranges::find_if(review.findings,
                                            [&](const Finding& f) { return f.check == "lambda-lean" && f.log == log; });
    EXPECT_NE(found, review.findings.end());
    return *found;
}

TEST(StandardRun, ALaterFindingSaysWhatTheStandardCarHadAtThatSpeed) {
    const Review found = reviewed({});
    const Finding& lean = lean_of(found, 1);
    ASSERT_TRUE(lean.standard_value);
    EXPECT_NEAR(*lean.standard_value, 0.82, 0.01);
    EXPECT_NE(lean.text.find("new since the standard run, which had 0.82 here."), std::string::npos) << lean.text;
    EXPECT_TRUE(found.notes.empty());
}

TEST(StandardRun, ItsOwnFaultIsTheCarsHealth) {
    const Review found = reviewed({.standard_lambda = 0.94});
    EXPECT_NE(lean_of(found, 0).text.find("the car was not healthy before the change."), std::string::npos);
    EXPECT_NE(lean_of(found, 1).text.find("had 0.94 here, so the car was not healthy"), std::string::npos)
        << lean_of(found, 1).text;
    ASSERT_EQ(found.notes.size(), 1u);
    EXPECT_NE(found.notes[0].find("lambda-lean"), std::string::npos);
}

TEST(StandardRun, OnlyLikePlacesAndKnownRunsAreCompared) {
    for (const Two& two : {Two{.standard_place = RunPlace::inertia_dyno}, Two{.tied = false}}) {
        const Review found = reviewed(two);
        const Finding& lean = lean_of(found, 1);
        EXPECT_FALSE(lean.standard_value);
        EXPECT_EQ(lean.text.find("standard"), std::string::npos) << lean.text;
    }
}

}  // namespace
}  // namespace revwright
