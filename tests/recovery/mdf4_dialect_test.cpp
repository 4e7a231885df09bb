#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <string>
#include <unistd.h>

#include "app/files.h"
#include "app/review_logs.h"
#include "formats/csv/writer.h"
#include "formats/mdf4/writer.h"
#include "formats/sheets/job.h"
#include "rig/drive.h"
#include "rig/example_car.h"
#include "wire/review_json.h"

namespace revwright {
namespace {

/// Every sample at the precision that a logger writes to a CSV file: three decimals, the time aside.
Log rounded(Log log) {
    for (Channel& channel : log.channels)
        for (double& value : channel.values)
            if (std::isfinite(value)) value = std::stod(fmt::format("{:.3f}", value));
    return log;
}

/// A folder of its own for a job sheet without an image, and one drive in both formats beside it.
class Mdf4Dialect : public testing::TestWithParam<const char*> {
protected:
    void SetUp() override {
        std::filesystem::create_directories(folder_);
        std::string sheet = rig::example_job_sheet();
        sheet.erase(sheet.find("[image]"));
        ASSERT_TRUE(app::write_file(folder_ / "job.toml", sheet));
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    Log drive(const std::string& fault) const {
        const auto job = sheets::read_job(rig::example_job_sheet(), "job.toml");
        EXPECT_TRUE(job);
        rig::RigSetup setup{.job = *job, .tables = rig::standard_tables(), .seed = 29};
        if (!fault.empty()) setup.faults = {{fault}};
        setup.plan.pulls = 2;
        auto run = rig::drive(setup);
        EXPECT_TRUE(run);
        return run ? rounded(std::move(run->log)) : Log{};
    }

    /// The review as JSON, every finding in it, the log's name left out.
    std::string review_of(const std::string& name) const {
        const auto review = app::review_logs(folder_ / "job.toml", {{folder_ / name}}, std::nullopt);
        EXPECT_TRUE(review) << describe(review.error());
        if (!review) return "";
        std::string json = wire::review_json(*review, true);
        for (std::size_t at = json.find(name); at != std::string::npos; at = json.find(name))
            json.replace(at, name.size(), "LOG");
        return json;
    }

    // Of the process: tests of several values run at the same time.
    std::filesystem::path folder_ =
        std::filesystem::temp_directory_path() / ("revwright_mdf4_dialect_" + std::to_string(::getpid()));
};

// What a file is called or how it holds the samples changes nothing that is said of the drive.
TEST_P(Mdf4Dialect, the_same_drive_as_csv_and_as_mdf_4_is_reviewed_the_same) {
    const Log log = drive(GetParam());
    ASSERT_TRUE(app::write_file(folder_ / "a.csv", csv::write(log)));
    ASSERT_TRUE(app::write_file(folder_ / "b.mf4", mdf4::write(log)));
    ASSERT_TRUE(app::write_file(folder_ / "c.log", mdf4::write(log, {.deflate = true})));
    const std::string as_csv = review_of("a.csv");
    EXPECT_NE(as_csv.find("\"index\": 1"), std::string::npos) << "two pulls";
    EXPECT_EQ(review_of("b.mf4"), as_csv);
    EXPECT_EQ(review_of("c.log"), as_csv) << "by content, not by name";
}

INSTANTIATE_TEST_SUITE_P(Faults, Mdf4Dialect,
                         testing::Values("", "lean-at-full-load", "knock-hot-spot", "hot-coolant", "low-boost"));

/// The slow channels of the drive in a group of their own, every fifth row; the rest as it was.
Log in_two_groups(Log log) {
    const TimeBase rows = log.time_bases.front();
    TimeBase slow;
    for (std::size_t i = 0; i < rows.seconds.size(); i += 5) slow.seconds.push_back(rows.seconds[i]);
    log.time_bases.push_back(slow);
    for (Channel& channel : log.channels) {
        if (!channel.key || !info(channel.key->signal).name.ends_with("_temp_c")) continue;
        std::vector<double> values;
        for (std::size_t i = 0; i < rows.seconds.size(); i += 5) values.push_back(channel.values[i]);
        channel.values = std::move(values);
        channel.time_base = 1;
    }
    return log;
}

TEST_P(Mdf4Dialect, groups_of_their_own_rate_are_reviewed_as_columns_with_blanks_are) {
    const Log log = in_two_groups(drive(GetParam()));
    ASSERT_TRUE(app::write_file(folder_ / "a.csv", csv::write(log)));
    ASSERT_TRUE(app::write_file(folder_ / "b.mf4", mdf4::write(log)));
    EXPECT_EQ(review_of("b.mf4"), review_of("a.csv"));
}

}  // namespace
}  // namespace revwright
