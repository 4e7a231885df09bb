#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"

namespace revwright::app {

/// The whole file. A folder, a missing or unreadable file is an Error that names it.
Result<std::vector<std::uint8_t>> read_bytes(const std::filesystem::path& file);
Result<std::string> read_text(const std::filesystem::path& file);

/// Writes beside the target and renames, so that a reader sees the old file or the new one, never half of it.
Result<void> write_file(const std::filesystem::path& file, std::span<const std::uint8_t> bytes);
Result<void> write_file(const std::filesystem::path& file, std::string_view text);

/// Refuses a target that is one of the files the work was read from: those are evidence, and a slip of the hand must
/// not cost the standard image. A target that does not exist yet is always fine.
Result<void> keep_sources(const std::filesystem::path& target, std::span<const std::filesystem::path> sources);

}  // namespace revwright::app
