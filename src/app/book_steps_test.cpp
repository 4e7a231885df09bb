#include "app/book_steps.h"

#include <filesystem>
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "app/files.h"
#include "app/job_description.h"
#include "app/job_folder.h"
#include "app/open_book.h"
#include "app/test_example_job.h"
#include "formats/csv/writer.h"
#include "rig/drive.h"

namespace revwright::app {
namespace {

namespace fs = std::filesystem;

/// A book with the example job in it, and a simulated car to drive.
class BookSteps : public testing::Test {
protected:
    void SetUp() override {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        folder_ = Path(testing::TempDir()) / fmt::format("steps_{}", test->name());
        fs::remove_all(folder_);
        write_example_job(folder_ / "job");
        book_ = std::make_unique<book::Book>(open_book((folder_ / "book").string()).value());
        const auto job = open_job(folder_ / "job/job.toml");
        ASSERT_TRUE(job);
        id_ = job->sheet.id;
        ASSERT_NE(id_, "");
    }
    void TearDown() override {
        book_.reset();
        fs::remove_all(folder_);
    }

    void keep(const std::string& name, std::string_view text) { ASSERT_TRUE(write_file(folder_ / name, text)); }
    Who by(const char* name) const { return {name, "2026-03-14T09:30:00Z"}; }
    JobStory added() { return app::add_job(*book_, folder_ / "job/job.toml", by("Ilse Arnd")).value(); }
    /// Drives what the book has as this revision.
    Path driven(std::size_t revision, std::uint64_t seed) {
        const auto story = job_of(*book_, id_).value();
        const auto files = lay_out(*book_, story, folder_ / "drive").value();
        const auto job = open_job_with_image(files.sheet).value();
        const auto image = open_image_of(job, files.images[revision]).value();
        const auto tables = tables_of(job, image).value();
        const auto run =
            rig::drive({.job = job.sheet, .tables = tables, .seed = seed, .hardware_fitted = revision > 0});
        const Path log = folder_ / fmt::format("run-{}.csv", seed);
        EXPECT_TRUE(write_file(log, csv::write(run->log)));
        return log;
    }

    Path folder_;
    std::unique_ptr<book::Book> book_;
    std::string id_;
};

TEST_F(BookSteps, TheLoopFromTheSheetToAReleasedRevision) {
    EXPECT_EQ(added().waits, Waits::technician);
    auto run = add_run(*book_, id_, {driven(0, 1)}, by("Bo Ek"));
    ASSERT_TRUE(run) << run.error().what;
    EXPECT_FALSE(run->review.pulls.empty());
    auto story = propose_next(*book_, id_, by("Ilse Arnd"));
    ASSERT_TRUE(story) << story.error().what;
    ASSERT_TRUE(story->revisions[0].proposal);
    ASSERT_GT(story->revisions[0].proposal->moves, 0u);
    story = approve_proposal(*book_, id_, std::nullopt, by("Ilse Arnd"));
    ASSERT_TRUE(story) << story.error().what;
    ASSERT_EQ(story->revisions.size(), 2u);
    EXPECT_GT(story->revisions[1].cells, 0u);
    // Until it is released nobody may have driven it.
    const auto early = add_run(*book_, id_, {driven(1, 2), 1}, by("Bo Ek"));
    ASSERT_FALSE(early);
    EXPECT_EQ(early.error().what, "revision 1 is not released: it may not be installed yet");
    story = release_revision(*book_, id_, by("Ilse Arnd"));
    ASSERT_TRUE(story);
    EXPECT_EQ(story->waits, Waits::technician);
    run = add_run(*book_, id_, {driven(1, 3), {}, {{"direction", "east"}, {"ambient_temp_c", "19.5"}}}, by("Bo Ek"));
    ASSERT_TRUE(run) << run.error().what;
    EXPECT_EQ(run->story.revisions[1].runs.size(), 1u);
    EXPECT_EQ(run->story.revisions[1].runs[0].run.run, "place = 'road'\ndirection = 'east'\nambient_temp_c = 19.5\n");
    const auto check = book_->verify();
    ASSERT_TRUE(check);
    EXPECT_EQ(check->entries, 6u);
    EXPECT_TRUE(check->faults.empty());
}

TEST_F(BookSteps, AJobTakenOutIsWhatWasPutIn) {
    const JobStory story = added();
    const auto files = lay_out(*book_, story, folder_ / "out");
    ASSERT_TRUE(files) << files.error().what;
    for (const char* name : {"job.toml", "tables.toml", "standard.bin"})
        EXPECT_EQ(read_bytes(folder_ / "out" / name).value(), read_bytes(folder_ / "job" / name).value()) << name;
}

TEST_F(BookSteps, OnlyTheProposalsOwnCellsCanBeApproved) {
    added();
    ASSERT_TRUE(add_run(*book_, id_, {driven(0, 1)}, by("Bo Ek")));
    const auto story = propose_next(*book_, id_, by("Ilse Arnd")).value();
    std::string text = book_->fetch(story.revisions[0].proposal->proposal.digest).value();
    keep("none.json", text);  // approves nothing: an image with the parent's bytes
    const auto none = approve_proposal(*book_, id_, folder_ / "none.json", by("Ilse Arnd"));
    ASSERT_FALSE(none);
    EXPECT_EQ(none.error().what, "this very image is in the job already");
    const std::size_t at = text.find("\"to\": ");
    ASSERT_NE(at, std::string::npos);
    text.insert(at + 6, "1");
    keep("moved.json", text);
    const auto moved = approve_proposal(*book_, id_, folder_ / "moved.json", by("Ilse Arnd"));
    ASSERT_FALSE(moved);
    EXPECT_NE(moved.error().what.find("found that its cells differ from it"), std::string::npos) << moved.error().what;
    EXPECT_EQ(book_->history()->size(), 3u);
}

TEST_F(BookSteps, WhatCannotBeTakenInIsRefusedAndNothingIsWritten) {
    const auto refusal = [&](const std::string& sheet) {
        keep("job/job.toml", sheet);
        const auto story = app::add_job(*book_, folder_ / "job/job.toml", by("Ilse Arnd"));
        EXPECT_FALSE(story);
        return story ? std::string() : story.error().what;
    };
    const std::string sheet = rig::example_job_sheet();
    EXPECT_NE(refusal(sheet + rig::run_entry({.log = "run.csv", .image = "standard.bin"})).find("without [[run]]"),
              std::string::npos);
    std::string nameless = sheet;
    nameless.replace(nameless.find("id = "), 5, "# ");
    EXPECT_NE(refusal(nameless).find("expected an id in [job]"), std::string::npos);
    fs::copy_file(folder_ / "job/standard.bin", folder_ / "standard.bin");
    std::string outside = sheet;
    outside.replace(outside.find("standard.bin"), 12, "../standard.bin");
    EXPECT_NE(refusal(outside).find("in the sheet's own folder"), std::string::npos);
    EXPECT_TRUE(book_->history()->empty());
    keep("job/job.toml", sheet + rig::run_entry({.log = "run.csv", .image = "standard.bin"}));
    const auto left_out = app::add_job(*book_, folder_ / "job/job.toml", by("Ilse Arnd"), RunsOfSheet::left_out);
    ASSERT_TRUE(left_out) << left_out.error().what;
    EXPECT_EQ(book_->fetch(left_out->job.sheet.digest), sheet + "\n");
    EXPECT_EQ(refusal(sheet), fmt::format("there is a job {} already", id_));
    EXPECT_EQ(add_run(*book_, "none", {folder_ / "x.csv"}, by("Bo Ek")).error().fault, Fault::not_found);
    EXPECT_FALSE(add_run(*book_, id_, {folder_ / "x.csv"}, by("Bo Ek")));
    keep("x.csv", "this is no log");
    EXPECT_FALSE(add_run(*book_, id_, {folder_ / "x.csv"}, by("Bo Ek")));
    EXPECT_EQ(add_run(*book_, id_, {folder_ / "x.csv", {}, {{"slope_pct", "steep"}}}, by("Bo Ek")).error().what,
              "expected a number for slope_pct, found steep");
    EXPECT_EQ(add_run(*book_, id_, {folder_ / "x.csv", {}, {{"direction", "it's"}}}, by("Bo Ek")).error().what,
              "expected words without quotes for direction, found it's");
    EXPECT_EQ(add_run(*book_, id_, {folder_ / "x.csv", 4}, by("Bo Ek")).error().what,
              fmt::format("job {} has no revision 4", id_));
    EXPECT_EQ(propose_next(*book_, id_, by("Ilse Arnd")).error().what, fmt::format("job {} has no run yet", id_));
    EXPECT_EQ(book_->history()->size(), 1u);
}

TEST(JobFolder, NamesThatLeadOutOfTheFolderAreKnown) {
    for (const char* name : {"", "/etc/passwd", "../x", "a/../../x", "..", ".", "a'b", "a\nb"})
        EXPECT_FALSE(stays_inside(name)) << name;
    for (const char* name : {"a", "a/b", "a/../b", "channels/x.toml"}) EXPECT_TRUE(stays_inside(name)) << name;
}

}  // namespace
}  // namespace revwright::app
