#include "book/happening_json.h"

#include <gtest/gtest.h>

#include "book/job_story_test.h"

namespace revwright::book {
namespace {

std::vector<Happening> one_of_each() {
    const KeptFile image = file_named("standard.bin");
    return {a_job(),
            a_run("run \"7\".csv", image, Severity::stop, {"knock-event", "lambda-lean"}),
            ProposalMade{file_named("p.json"), image.digest, 7},
            a_revision("r.bin", image),
            RevisionReleased{image.digest},
            FindingWaived{image.digest, "battery", "r\xc3\xa9sum\xc3\xa9"},
            JobSigned{image.digest, "agreed"}};
}

TEST(HappeningJson, EachKindComesBackAsItWas) {
    for (const Happening& what : one_of_each()) {
        const auto back = happening_of(record_of(what));
        ASSERT_TRUE(back) << back.error().what;
        EXPECT_EQ(*back, what) << kind_of(what);
    }
}

TEST(HappeningJson, TheFormIsFixedForGood) {
    // Part of every hash: a change here breaks every book.
    EXPECT_EQ(record_of(JobSigned{Digest{}, "agreed"}),
              R"({"image":"0000000000000000000000000000000000000000000000000000000000000000","reason":"agreed",)"
              R"("what":"job-signed"})");
}

TEST(HappeningJson, AnythingElseIsRefusedInOneSentence) {
    const auto refused = [](std::string_view record, const std::string& part) {
        const auto what = happening_of(record);
        ASSERT_FALSE(what) << record;
        EXPECT_NE(what.error().what.find(part), std::string::npos) << what.error().what;
    };
    refused("", "parse error");
    refused(R"({"what":"job-painted"})", "one of \"job-painted\", which this program does not know");
    refused(R"({"what":"job-signed","image":"12","reason":""})", "a digest is not 64 hexadecimal digits");
    refused(R"({"what":"job-signed","reason":""})", "key 'image' not found");
    refused(R"({"what":4})", "type must be string");
}

TEST(HappeningJson, WhatIsNoUtf8InANameDoesNotStopTheBook) {
    JobAdded job = a_job();
    job.title = "\xff car";
    EXPECT_TRUE(happening_of(record_of(job)));
}

}  // namespace
}  // namespace revwright::book
