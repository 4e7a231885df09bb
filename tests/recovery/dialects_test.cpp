#include "recovery/dialects.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <string>
#include <unistd.h>

#include "app/files.h"
#include "app/review_logs.h"
#include "formats/sheets/job.h"
#include "rig/drive.h"
#include "rig/example_car.h"

namespace revwright {
namespace {

/// What a calibrator would compare: which check, how bad, in which pull.
std::vector<std::string> findings_of(const Review& review) {
    std::vector<std::string> lines;
    for (const Finding& finding : review.findings) {
        if (finding.severity == Severity::clear) continue;
        const std::string pull = finding.pull ? std::to_string(*finding.pull) : "-";
        lines.push_back(fmt::format("{} {} pull {}", finding.check, to_string(finding.severity), pull));
    }
    for (const NotChecked& check : review.not_checked) lines.push_back("not checked: " + check.check);
    std::ranges::sort(lines);
    return lines;
}

/// A folder of its own for a job sheet without an image, and logs beside it.
class TenDialects : public testing::Test {
protected:
    void SetUp() override {
        std::filesystem::create_directories(folder_);
        std::string sheet = rig::example_job_sheet();
        sheet.erase(sheet.find("[image]"));
        ASSERT_TRUE(app::write_file(folder_ / "job.toml", sheet));
        const auto job = sheets::read_job(rig::example_job_sheet(), "job.toml");
        ASSERT_TRUE(job);
        rig::RigSetup setup{.job = *job, .tables = rig::standard_tables(), .seed = 21};
        setup.faults = {
            {"lean-at-full-load", 4300.0}, {"knock-hot-spot", 5000.0}, {"hot-coolant"}, {"low-boost", 3600.0}};
        setup.plan.pulls = 2;
        setup.plan.stretches = {rig::StretchKind::shift_at_full};
        setup.hardware_fitted = false;
        auto run = rig::drive(setup);
        ASSERT_TRUE(run);
        log_ = std::move(run->log);
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    Review review_in(const Dialect& dialect) const {
        const std::filesystem::path file = folder_ / "drive.csv";
        EXPECT_TRUE(app::write_file(file, written_in(dialect, log_)));
        auto review = app::review_logs(folder_ / "job.toml", {{file}}, std::nullopt);
        EXPECT_TRUE(review) << describe(review.error());
        return review ? std::move(*review) : Review{};
    }

    std::filesystem::path folder_ =
        std::filesystem::temp_directory_path() / ("revwright_ten_dialects_" + std::to_string(::getpid()));
    Log log_;
};

// Whatever the logger's habits, the drive was the same.
TEST_F(TenDialects, OfTheSameDriveGiveTheSameFindings) {
    const Review first = review_in(ten_dialects().front());
    const std::vector<std::string> expected = findings_of(first);
    ASSERT_GE(expected.size(), 4u);
    for (const Dialect& dialect : ten_dialects().subspan(1)) {
        SCOPED_TRACE(dialect.name);
        const Review review = review_in(dialect);
        EXPECT_EQ(findings_of(review), expected);
        ASSERT_EQ(review.pulls.size(), first.pulls.size());
        for (std::size_t i = 0; i < first.pulls.size(); ++i)
            EXPECT_NEAR(review.pulls[i].end_s - review.pulls[i].start_s, first.pulls[i].end_s - first.pulls[i].start_s,
                        0.06);
        for (const Finding& finding : first.findings) {
            const auto same = std::ranges::find_if(review.findings, [&](const Finding& other) {
                return other.check == finding.check && other.pull == finding.pull;
            });
            if (finding.severity == Severity::clear || same == review.findings.end()) continue;
            EXPECT_NEAR(same->engine_speed_rpm, finding.engine_speed_rpm, 100.0) << finding.text;
            EXPECT_NEAR(same->value, finding.value, 0.01 * std::max(1.0, std::abs(finding.value))) << same->text;
        }
    }
}

}  // namespace
}  // namespace revwright
