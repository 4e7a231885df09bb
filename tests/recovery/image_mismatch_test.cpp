#include <algorithm>
#include <gtest/gtest.h>

#include "formats/sheets/job.h"
#include "review/review.h"
#include "rig/drive.h"
#include "rig/example_car.h"

// A run that claims another image than it was driven with, by changes as small as one proposal makes.
namespace revwright {
namespace {

struct Change {
    const char* what;
    const char* table;
    std::vector<std::size_t> rows;  // engine speeds
    std::size_t from_column;        // charges; 0 where there are none
    double by;
    const char* says;
};

// 3,200 to 4,000 rpm at full load for spark, 3,500 to 4,500 rpm for lambda and boost.
const Change kChanges[] = {
    {"1 degree more", "SPARK_MAIN", {6, 7, 8}, 7, 1.0, "base spark"},
    {"1 degree less", "SPARK_MAIN", {6, 7, 8}, 7, -1.0, "base spark"},
    {"0.02 leaner", "LAMBDA_FULL", {5, 6, 7}, 5, 0.02, "lambda target"},
    {"0.02 richer", "LAMBDA_FULL", {5, 6, 7}, 5, -0.02, "lambda target"},
    {"5 kPa more", "BOOST_TARGET", {5, 6, 7}, 0, 5.0, "boost target"},
};

TableSet with(TableSet tables, const Change& change) {
    tables.image.bytes[0] ^= 1;
    for (Table& table : tables.tables) {
        if (table.name() != change.table) continue;
        const std::size_t columns = table.axes.size() > 1 ? table.axes[1].size() : 1;
        for (const std::size_t row : change.rows)
            for (std::size_t column = change.from_column; column < columns; ++column)
                table.values[row * columns + column] += change.by;
    }
    return tables;
}

struct Rig {
    JobSheet job = *sheets::read_job(rig::example_job_sheet(), "example.toml");
    TableSet standard = rig::standard_tables();
    RunEntry entry = {};

    Log driven_with(const TableSet& tables, int nth) const {
        rig::RigSetup setup{.job = job, .tables = tables, .seed = 400 + static_cast<std::uint64_t>(nth)};
        setup.logger = static_cast<rig::LoggerKind>(nth % 3);
        setup.hardware_fitted = false;
        return std::move(rig::drive(setup)->log);
    }
    std::vector<Finding> mismatches(const Log& log, const TableSet& claimed, std::span<const JobImage> images) const {
        const DrivenLog driven{.log = &log, .run = &entry, .tables = &claimed, .images = images};
        std::vector<Finding> found = review(job, {&driven, 1}).findings;
        std::erase_if(found,
                      [](const Finding& f) { return f.check != "image-mismatch" || f.severity == Severity::clear; });
        return found;
    }
};

TEST(ImageMismatch, ARunIsNotOfAnImageThatDiffersInAFewCells) {
    const Rig rig;
    int nth = 0;
    for (const Change& change : kChanges) {
        SCOPED_TRACE(change.what);
        const TableSet claimed = with(rig.standard, change);
        const JobImage images[] = {{"the standard image", &rig.standard}, {"rev1.bin", &claimed}};
        const Log log = rig.driven_with(rig.standard, nth++);
        const auto found = rig.mismatches(log, claimed, images);
        ASSERT_EQ(found.size(), 1u);
        EXPECT_EQ(found[0].severity, Severity::stop);
        EXPECT_FALSE(found[0].pull) << "it is a matter of the whole run";
        EXPECT_NEAR(found[0].engine_speed_rpm, 3800.0, 700.0);
        EXPECT_NE(found[0].text.find(change.says), std::string::npos) << found[0].text;
        EXPECT_NE(found[0].text.find("the standard image fits"), std::string::npos) << found[0].text;
        const auto alone = rig.mismatches(log, claimed, {});
        ASSERT_EQ(alone.size(), 1u) << "found as well where no other image is at hand";
        EXPECT_EQ(alone[0].text.find("fits"), std::string::npos);
    }
}

TEST(ImageMismatch, TheRightImageIsNeverAccused) {
    const Rig rig;
    const TableSet changed = with(rig.standard, kChanges[0]);
    for (int nth = 0; nth < 30; ++nth) {
        SCOPED_TRACE(nth);
        const TableSet& tables = nth % 2 == 0 ? rig.standard : changed;
        const auto found = rig.mismatches(rig.driven_with(tables, nth), tables, {});
        EXPECT_TRUE(found.empty()) << found[0].text;
    }
}

TEST(ImageMismatch, EnrichmentThatComesLateInThePullIsComponentProtection) {
    const Rig rig;
    Log log = rig.driven_with(rig.standard, 3);
    const auto speed = log.find(Signal::engine_speed_rpm)->values;
    for (Channel& channel : log.channels)
        if (channel.key && channel.key->signal == Signal::lambda_target)
            for (std::size_t i = 0; i < speed.size(); ++i)
                if (speed[i] > 4500.0) channel.values[i] -= 0.04;
    EXPECT_TRUE(rig.mismatches(log, rig.standard, {}).empty());
}

TEST(ImageMismatch, ACorrectionForHeatThatActsEverywhereIsNotAnotherImage) {
    const Rig rig;
    Log log = rig.driven_with(rig.standard, 4);
    for (Channel& channel : log.channels)
        if (channel.key && channel.key->signal == Signal::spark_base_deg)
            for (double& value : channel.values) value -= 1.5;
    EXPECT_TRUE(rig.mismatches(log, rig.standard, {}).empty());
}

TEST(ImageMismatch, AnyVariantOfARoleMayHaveBeenRead) {
    Rig rig;
    Table low = *rig.standard.find("SPARK_MAIN");
    low.description.name = "SPARK_LOW";
    for (std::size_t flat = 0; flat < low.values.size(); ++flat)
        if (flat % low.axes[1].size() >= 5) low.values[flat] -= 4.0;
    TableSet low_driven = rig.standard;
    for (Table& table : low_driven.tables)
        if (table.name() == "SPARK_MAIN") table.values = low.values;
    TableSet claimed = rig.standard;
    claimed.tables.push_back(low);
    const Log log = rig.driven_with(low_driven, 5);
    EXPECT_EQ(rig.mismatches(log, rig.standard, {}).size(), 1u);
    rig.job.image->roles[Role::spark].push_back({.table = "SPARK_LOW", .when = "octane-low", .where = {}});
    EXPECT_TRUE(rig.mismatches(log, claimed, {}).empty());
}

TEST(ImageMismatch, WithoutARunOrItsChannelsNothingIsClaimed) {
    const Rig rig;
    Log log = rig.driven_with(rig.standard, 6);
    const auto why = [&](const DrivenLog& driven) {
        const Review found = review(rig.job, {&driven, 1});
        const auto entry = std::ranges::find(found.not_checked, "image-mismatch", &NotChecked::check);
        return entry == found.not_checked.end() ? std::string() : entry->text;
    };
    EXPECT_NE(why({.log = &log}).find("no [[run]]"), std::string::npos);
    std::erase_if(log.channels, [](const Channel& channel) {
        return channel.key &&
               (channel.key->signal == Signal::spark_base_deg || channel.key->signal == Signal::lambda_target);
    });
    EXPECT_NE(why({.log = &log, .run = &rig.entry, .tables = &rig.standard}).find("spark_base_deg"), std::string::npos);
}

}  // namespace
}  // namespace revwright
