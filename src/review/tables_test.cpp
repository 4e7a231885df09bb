#include <gtest/gtest.h>

#include "review/review.h"
#include "review/review_test_log.h"

namespace revwright {
namespace {

using testing::DriveOptions;
using testing::Moment;
using testing::TestDrive;

/// A spark curve over engine speed every 1,000 rpm: the cells a control unit reads.
TableSet spark_curve() {
    Table table;
    table.description.name = "SPARK";
    table.axes = {*Axis::make("SPARK", {Signal::engine_speed_rpm}, {1000, 2000, 3000, 4000, 5000, 6000})};
    table.values = table.raw = std::vector<double>(6, 10.0);
    TableSet tables;
    tables.tables = {table};
    return tables;
}

JobSheet job_with_spark() {
    JobSheet job = testing::test_job();
    job.image.emplace();
    RoleTable role;
    role.table = "SPARK";
    job.image->roles[Role::spark] = {role};
    return job;
}

/// One knock of 2 degrees in each of two pulls, at these engine speeds.
Log knocks_at(double first_rpm, double second_rpm) {
    DriveOptions options;
    options.tweak = [=](Moment& m) {
        const double since = (m.rpm - (m.pull == 0 ? first_rpm : second_rpm)) / 4500.0 * 7.0;
        if (m.pull >= 0 && since >= 0.0) m.retard[1] = std::max(0.0, 2.0 - since);
    };
    TestDrive drive(options);
    drive.clean_pulls(2);
    return drive.log();
}

Severity knock_repeated(const Log& log, const TableSet* tables) {
    const DrivenLog driven{&log, nullptr, tables};
    const Review found = review(job_with_spark(), std::span(&driven, 1));
    return std::ranges::find(found.findings, "knock-repeated", &Finding::check)->severity;
}

TEST(ReviewWithTables, TheSameCellIsThatOfTheSparkTable) {
    const TableSet tables = spark_curve();
    const Log near = knocks_at(3800, 4200), far = knocks_at(3200, 4200);
    EXPECT_EQ(knock_repeated(near, &tables), Severity::mend) << "both read the cell at 4,000 rpm";
    EXPECT_EQ(knock_repeated(far, &tables), Severity::clear);
    EXPECT_EQ(knock_repeated(near, nullptr), Severity::clear) << "without tables 400 rpm apart is not the same place";
}

TEST(ReviewWithTables, KnocksUnderTwoImagesAreNotTheSameCell) {
    const TableSet standard = spark_curve();
    TableSet changed = spark_curve();
    changed.image.bytes[0] = 1;
    const Log one = knocks_at(4000, 9000), other = knocks_at(4000, 9000);
    const JobSheet job = job_with_spark();
    const auto severity = [&](const TableSet& second) {
        const DrivenLog driven[] = {{&one, nullptr, &standard}, {&other, nullptr, &second}};
        const Review found = review(job, driven);
        return std::ranges::find(found.findings, "knock-repeated", &Finding::check)->severity;
    };
    EXPECT_EQ(severity(standard), Severity::mend);
    EXPECT_EQ(severity(changed), Severity::clear);
}

TEST(ReviewWithTables, CoverageNamesTheCellsNotVisited) {
    TestDrive drive;
    for (int i = 0; i < 2; ++i) drive.cruise(4.0, 3, 2000.0).full(3, 2000.0, 4500.0, 5.0);
    drive.cruise(3.0, 3, 2000.0);
    const Log log = drive.log();
    const TableSet tables = spark_curve();
    const DrivenLog driven{&log, nullptr, &tables};
    const Review found = review(job_with_spark(), std::span(&driven, 1));
    const auto coverage = std::ranges::find(found.findings, "coverage", &Finding::check);
    ASSERT_NE(coverage, found.findings.end());
    EXPECT_NE(coverage->text.find("SPARK at 5000 rpm"), std::string::npos) << coverage->text;
}

TEST(ReviewWithTables, FuelPressureIsNeverCuredByLambda) {
    DriveOptions options;
    options.tweak = [](Moment& m) {
        if (m.pull >= 0 && m.rpm > 4500 && m.rpm < 5500) m.rail *= 0.8, m.mixture = 0.98;
    };
    TestDrive drive(options);
    drive.clean_pulls(2);
    const Log log = drive.log();
    const DrivenLog driven{&log, nullptr, nullptr};
    const Review found = review(testing::test_job(), std::span(&driven, 1));
    for (const char* check : {"lambda-lean", "fuel-pressure"}) {
        const auto finding = std::ranges::find(found.findings, check, &Finding::check);
        ASSERT_NE(finding, found.findings.end());
        EXPECT_EQ(finding->severity, Severity::stop) << check;
        EXPECT_EQ(finding->levers, (std::vector<std::string>{"boost_target", "hardware"})) << check;
    }
}

}  // namespace
}  // namespace revwright
