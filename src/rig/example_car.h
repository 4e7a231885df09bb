#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "model/table.h"

namespace revwright::rig {

// The invented example: workshop "Harrowgill Engine Works", car "Tolvane Arden 2.0T". Any likeness is chance.

inline constexpr std::string_view kExampleImageFile = "standard.bin";
inline constexpr std::string_view kExampleTableSheetFile = "tables.toml";
inline constexpr std::uint64_t kExampleBaseAddress = 0x80000;

/// The job sheet without any [[run]]; append run_entry() texts to it.
std::string example_job_sheet();
/// One [[run]] entry. log and image are paths relative to the job sheet; image empty: give the digest instead.
struct RunText {
    std::string log;
    std::string image = {};
    std::string image_sha256 = {};
    std::string fuel_batch = {};
    double ambient_temp_c = 20.0;
    double ambient_pressure_kpa = 99.5;
};
std::string run_entry(const RunText& run);
/// The table sheet that describes standard_image().
std::string example_table_sheet();
/// 64 KiB: the tables, their axes, two checksums, and pseudo-random content that stands for a program.
std::vector<std::uint8_t> standard_image();
/// The tables of standard_image(), as a reader of image and sheet must find them.
TableSet standard_tables();

}  // namespace revwright::rig
