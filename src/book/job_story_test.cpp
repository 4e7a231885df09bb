#include "book/job_story.h"

#include <gtest/gtest.h>

#include "book/job_story_test.h"

namespace revwright::book {
namespace {

JobStory story_of(const std::vector<BookDraft>& drafts) {
    const auto stories = stories_of(told(drafts));
    EXPECT_TRUE(stories) << stories.error().what;
    EXPECT_EQ(stories->size(), 1u);
    return stories->front();
}

std::string objection(const std::vector<BookDraft>& drafts, Happening what, const std::string& by = "Ilse Arnd") {
    const JobStory story = story_of(drafts);
    return objection_to(drafted(std::move(what), by), &story);
}

const KeptFile kStandard = file_named("standard.bin"), kFirst = file_named("revision-1.bin");
const std::vector<BookDraft> kAdded{drafted(a_job())};
const std::vector<BookDraft> kDriven{drafted(a_job()),
                                     drafted(a_run("run-0.csv", kStandard, Severity::mend, {"lambda-lean"}))};

std::vector<BookDraft> and_then(std::vector<BookDraft> drafts, Happening what) {
    drafts.push_back(drafted(std::move(what)));
    return drafts;
}

TEST(JobStory, EachStepSaysWhoIsWaitedFor) {
    const auto stands = [](const std::vector<BookDraft>& drafts, Waits waits, const std::string& sentence) {
        const JobStory story = story_of(drafts);
        EXPECT_EQ(story.waits, waits) << sentence;
        EXPECT_EQ(story.stands, sentence);
    };
    stands(kAdded, Waits::technician, "A run with the standard image is to be driven.");
    stands(kDriven, Waits::calibrator, "The last run with the standard image does not hold: as told");
    auto drafts = and_then(kDriven, ProposalMade{file_named("p.json"), kStandard.digest, 12});
    stands(drafts, Waits::calibrator, "A proposal of 12 cells over the standard image waits for approval.");
    drafts = and_then(drafts, a_revision("revision-1.bin", kStandard));
    stands(drafts, Waits::calibrator, "Revision 1 is built from 12 approved cells: to be released.");
    drafts = and_then(drafts, RevisionReleased{kFirst.digest});
    stands(drafts, Waits::technician, "A run with revision 1 is to be driven.");
    drafts = and_then(drafts, a_run("run-1.csv", kFirst, Severity::stop, {"knock-event"}));
    stands(drafts, Waits::calibrator, "Do not drive revision 1 again: as told");
    drafts = and_then(drafts, a_run("run-2.csv", kFirst));
    stands(drafts, Waits::calibrator, "The last run with revision 1 holds: to be signed off, or taken further.");
    drafts = and_then(drafts, JobSigned{kFirst.digest, "agreed torque reached"});
    stands(drafts, Waits::nobody, "Signed off with revision 1 by Ilse Arnd.");
}

TEST(JobStory, WhatCannotHappenIsRefusedWithItsReason) {
    EXPECT_EQ(objection_to(drafted(RevisionReleased{}), nullptr), "there is no job K-104");
    EXPECT_EQ(objection_to(drafted(a_job(), ""), nullptr), "nobody is named who does it");
    EXPECT_EQ(objection(kAdded, a_job()), "there is a job K-104 already");
    EXPECT_EQ(objection(kAdded, a_run("x.csv", file_named("strange.bin"))), "its image is none of the job's");
    EXPECT_EQ(objection(kDriven, a_run("run-0.csv", kStandard)), "this very log is in the job already");
    EXPECT_EQ(objection(kAdded, ProposalMade{.parent = kStandard.digest}),
              "the standard image has no run yet, and a proposal is made from runs");
    EXPECT_EQ(objection(kAdded, ProposalMade{.parent = kFirst.digest}),
              "it changes an image that is none of the job's");
    EXPECT_EQ(objection(kAdded, a_revision("r.bin", kFirst)), "its parent is none of the job's images");
    const auto built = and_then(kDriven, a_revision("revision-1.bin", kStandard));
    EXPECT_EQ(objection(built, a_revision("revision-1.bin", kStandard)), "this very image is in the job already");
    EXPECT_EQ(objection(built, a_run("run-1.csv", kFirst)), "revision 1 is not released: it may not be installed yet");
    EXPECT_EQ(objection(kAdded, RevisionReleased{kStandard.digest}), "the standard image is free to drive already");
    EXPECT_EQ(objection(kAdded, RevisionReleased{kFirst.digest}), "the image is none of the job's");
}

TEST(JobStory, WhatStaysOpenIsWaivedByNameBeforeAJobIsSigned) {
    const JobSigned sign{kStandard.digest, "as agreed"};
    EXPECT_EQ(objection(kAdded, sign), "the standard image has no run: nothing shows that it holds");
    EXPECT_EQ(objection(kDriven, sign),
              "the last run with the standard image leaves open: lambda-lean. Each is waived with a reason first");
    const Digest log = file_named("run-0.csv").digest;
    EXPECT_EQ(objection(kDriven, FindingWaived{log, "lambda-lean", ""}), "a waiver needs a reason");
    EXPECT_EQ(objection(kDriven, FindingWaived{log, "battery", "old"}), "the run leaves no battery open");
    EXPECT_EQ(objection(kDriven, FindingWaived{Digest{}, "lambda-lean", "probe"}), "the log is none of the job's");
    const auto waived = and_then(kDriven, FindingWaived{log, "lambda-lean", "the probe is known to read lean"});
    EXPECT_EQ(objection(waived, sign), "");
    EXPECT_EQ(objection(and_then(waived, sign), a_run("late.csv", kStandard)), "job K-104 is signed off and closed");
}

TEST(JobStory, AHistoryThatCannotBeIsNoHistory) {
    const auto stories = stories_of(told({drafted(a_job()), drafted(RevisionReleased{kFirst.digest})}));
    ASSERT_FALSE(stories);
    EXPECT_EQ(stories.error().what, "entry 2 of the book cannot have happened: the image is none of the job's");
}

}  // namespace
}  // namespace revwright::book
