#include "rig/example_car.h"

#include <gtest/gtest.h>

#include "formats/sheets/table_sheet.h"
#include "image/checksum.h"
#include "image/open.h"
#include "image/read.h"
#include "rig/test_car.h"

namespace revwright::rig {
namespace {

Image opened() {
    auto image = open_image(standard_image(), std::string{kExampleImageFile}, *example_job().image);
    EXPECT_TRUE(image) << (image ? "" : describe(image.error()));
    return *image;
}

TEST(ExampleCar, ImageAndSheetReadAsTheTablesTheyWereMadeFrom) {
    const auto sheet = sheets::read_table_sheet(example_table_sheet(), "tables.toml");
    ASSERT_TRUE(sheet) << describe(sheet.error());
    const auto read = read_tables(*sheet, opened());
    ASSERT_TRUE(read) << describe(read.error());
    const TableSet made = standard_tables();
    ASSERT_EQ(read->tables.size(), made.tables.size());
    for (const Table& table : made.tables) {
        SCOPED_TRACE(table.name());
        const Table* found = read->find(table.name());
        ASSERT_NE(found, nullptr);
        EXPECT_EQ(found->values, table.values);
        EXPECT_EQ(found->raw, table.raw);
        EXPECT_EQ(found->axes, table.axes);
    }
}

TEST(ExampleCar, BothChecksumsHold) {
    const auto states = check_all(example_job().image->checksums, opened());
    ASSERT_TRUE(states) << describe(states.error());
    ASSERT_EQ(states->size(), 2u);
    for (const auto& state : *states) EXPECT_EQ(state.found, state.expected);
}

TEST(ExampleCar, RunEntriesReadAsRuns) {
    const std::string text =
        example_job_sheet() + run_entry({.log = "run0.csv", .image = "standard.bin", .fuel_batch = "A"}) +
        run_entry({.log = "run1.csv", .image = "", .image_sha256 = to_hex(standard_tables().image)});
    const auto job = sheets::read_job(text, "job.toml");
    ASSERT_TRUE(job) << describe(job.error());
    ASSERT_EQ(job->runs.size(), 2u);
    EXPECT_EQ(job->runs[1].image_sha256, standard_tables().image);
}

}  // namespace
}  // namespace revwright::rig
