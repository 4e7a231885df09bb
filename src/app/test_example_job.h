#pragma once

#include <gtest/gtest.h>

#include "app/files.h"
#include "rig/example_car.h"

namespace revwright::app {

/// The example car's job sheet, table sheet and standard image, in a folder that is made for them.
inline void write_example_job(const std::filesystem::path& folder) {
    std::filesystem::create_directories(folder);
    ASSERT_TRUE(write_file(folder / rig::kExampleTableSheetFile, rig::example_table_sheet()));
    ASSERT_TRUE(write_file(folder / rig::kExampleImageFile, rig::standard_image()));
    ASSERT_TRUE(write_file(folder / "job.toml", rig::example_job_sheet()));
}

}  // namespace revwright::app
