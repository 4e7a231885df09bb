#pragma once

#include <filesystem>
#include <optional>

#include "core/error.h"
#include "model/channel_sheet.h"
#include "model/log.h"

namespace revwright::app {

/// Reads one channel sheet.
Result<ChannelSheet> open_channel_sheet(const std::filesystem::path& file);

/// The sheet of a folder that is of this log's logger: all its names that are not optional are in the log, and it has
/// most names there. Nothing where none fits; then the nearest is said in log.lost. Errors: a sheet of the folder that
/// cannot be read, two that fit as well.
Result<std::optional<ChannelSheet>> fitting_channel_sheet(const std::filesystem::path& folder, Log& log);

/// Writes a sheet to complete for the logger of this log. Refuses a file that exists.
Result<void> save_channel_sheet(const Log& log, const std::filesystem::path& file);

}  // namespace revwright::app
