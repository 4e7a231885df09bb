#include "app/pull_pictures.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <gtest/gtest.h>

#include "app/files.h"
#include "app/picture_words.h"
#include "review/review.h"
#include "review/review_test_log.h"

namespace revwright::app {
namespace {

using testing::DriveOptions;
using testing::Moment;
using testing::TestDrive;

std::vector<NamedPicture> pictures_of(const DriveOptions& options, int pulls = 2) {
    TestDrive drive(options);
    drive.clean_pulls(pulls);
    const Log log = drive.log();
    const DrivenLog driven{.log = &log};
    const JobSheet job = testing::test_job();
    const std::optional<Digest> image;
    return pull_pictures(job, {&driven, 1}, {&image, 1}, review(job, {&driven, 1}));
}

const PicturePanel* panel_named(const PullPicture& picture, std::string_view name) {
    const auto found = std::ranges::find(picture.panels, name, &PicturePanel::name);
    return found == picture.panels.end() ? nullptr : &*found;
}

const PictureMark* worst_mark(const PicturePanel& panel) {
    return panel.marks.empty() ? nullptr : &*std::ranges::max_element(panel.marks, {}, &PictureMark::severity);
}

/// Lean by 0.12 from 4,000 to 4,600 rpm in the second pull.
void lean(Moment& m) {
    if (m.pull == 1 && m.rpm >= 4000.0 && m.rpm <= 4600.0) m.mixture = m.mixture_2 = m.lambda_target + 0.12;
}

TEST(PullPictures, TheWorstPointLiesWhereTheFaultWasPlanted) {
    const auto pictures = pictures_of({.tweak = lean});
    ASSERT_EQ(pictures.size(), 2U);
    const PicturePanel* lambda = panel_named(pictures[1].picture, "Lambda");
    ASSERT_NE(lambda, nullptr);
    const PictureMark* mark = worst_mark(*lambda);
    ASSERT_NE(mark, nullptr);
    EXPECT_GE(mark->severity, Severity::mend);
    EXPECT_NEAR(mark->speed_rpm, 4400.0, 400.0);
    EXPECT_NEAR(mark->value, 0.96, 0.03) << "on the measured line, not on the finding's own scale";
    EXPECT_NE(mark->words.find("over the limit of"), std::string::npos) << mark->words;
    EXPECT_NE(pictures[1].picture.title.find("lambda-"), std::string::npos) << pictures[1].picture.title;
    const PicturePanel* clean = panel_named(pictures[0].picture, "Lambda");
    EXPECT_TRUE(!worst_mark(*clean) || worst_mark(*clean)->severity == Severity::clear) << "the fault of another pull";
}

TEST(PullPictures, KnockIsMarkedOnItsOwnCylinderWhichIsDrawnThick) {
    const auto pictures = pictures_of({.tweak = [](Moment& m) {
        if (m.pull >= 0 && m.rpm > 3500.0 && m.rpm < 4600.0) m.retard[2] = 3.75;
    }});
    const PicturePanel* knock = panel_named(pictures[0].picture, "Knock retard");
    ASSERT_NE(knock, nullptr);
    EXPECT_EQ(knock->lines[0].name, "cylinder 3");
    EXPECT_EQ(knock->lines[0].ink, PictureInk::measured);
    EXPECT_EQ(knock->lines[1].name, "") << "a cylinder that shows nothing takes no room for its name";
    ASSERT_NE(worst_mark(*knock), nullptr);
    EXPECT_EQ(worst_mark(*knock)->value, 3.75);
}

TEST(PullPictures, OnlyWhatWasLoggedIsDrawn) {
    const auto pictures = pictures_of({.without = {Signal::exhaust_temp_c, Signal::spark_deg}});
    EXPECT_EQ(panel_named(pictures[0].picture, "Exhaust temperature"), nullptr);
    const auto& not_drawn = pictures[0].picture.not_drawn;
    EXPECT_NE(std::ranges::find(not_drawn, "Exhaust temperature"), not_drawn.end());
}

TEST(PullPictures, NothingOutsideThePullIsDrawnAndTheOthersAreThin) {
    const auto pictures = pictures_of({}, 3);
    for (const NamedPicture& one : pictures) {
        EXPECT_EQ(one.picture.other_pulls, 2U);
        for (const PicturePanel& panel : one.picture.panels) {
            EXPECT_EQ(panel.others.size(), 2U);
            for (const PictureLine& line : panel.lines)
                for (const double rpm : line.speed_rpm)
                    if (std::isfinite(rpm)) {
                        EXPECT_GE(rpm, one.picture.speed_from_rpm - 60.0);
                        EXPECT_LE(rpm, one.picture.speed_to_rpm + 60.0);
                    }
        }
    }
    EXPECT_EQ(pictures[2].file, "test-pull-2.svg");
}

TEST(PullPictures, TheSameLogGivesTheSamePicture) {
    const auto once = pictures_of({.tweak = lean}), again = pictures_of({.tweak = lean});
    for (std::size_t i = 0; i < once.size(); ++i) {
        ASSERT_EQ(once[i].picture.panels.size(), again[i].picture.panels.size());
        EXPECT_EQ(once[i].picture.title, again[i].picture.title);
        EXPECT_EQ(once[i].picture.panels[0].lines[0].values, again[i].picture.panels[0].lines[0].values);
    }
}

TEST(PullPictures, ALogThatIsNamedLikeAPictureIsNotWrittenOver) {
    const std::filesystem::path folder = std::filesystem::temp_directory_path() / "revwright-pull-pictures-test";
    std::filesystem::create_directories(folder);
    const std::vector<Path> sources{folder / "run-pull-0.svg"};
    ASSERT_TRUE(write_file(sources[0], std::string_view("a log")).has_value());
    const auto written = write_pictures({{"run-pull-0.svg", {}}}, folder, sources);
    EXPECT_FALSE(written.has_value());
    EXPECT_EQ(read_text(sources[0]).value(), "a log");
    std::filesystem::remove_all(folder);
}

TEST(MarginInWords, SaysWhichSideAndHowFar) {
    Finding finding{.check = "lambda-lean",
                    .severity = Severity::mend,
                    .engine_speed_rpm = 4250.4,
                    .value = 0.95,
                    .limit = 0.92,
                    .margin = -0.03,
                    .unit = "1"};
    EXPECT_EQ(margin_in_words(finding), "mend, lambda-lean: 0.030 over the limit of 0.920 at 4,250 rpm");
    finding = {.check = "throttle-closing",
               .severity = Severity::mend,
               .engine_speed_rpm = 5000,
               .value = 71.0,
               .limit = 90.0,
               .margin = -19.0,
               .unit = "%"};
    EXPECT_EQ(margin_in_words(finding), "mend, throttle-closing: 19.0 under the limit of 90.0 % at 5,000 rpm");
    finding = {.check = "exhaust-temperature", .value = 800, .limit = 950, .margin = 150, .unit = "C"};
    EXPECT_EQ(margin_in_words(finding), "clear, exhaust-temperature: 150 inside the limit of 950 °C");
    finding = {.check = "knock-repeated", .severity = Severity::mend, .value = 2, .limit = 2, .unit = "1"};
    EXPECT_EQ(margin_in_words(finding), "mend, knock-repeated: at the limit of 2");
}

}  // namespace
}  // namespace revwright::app
