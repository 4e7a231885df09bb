#pragma once

#include <filesystem>
#include <optional>

#include "core/error.h"
#include "model/log.h"

namespace revwright::app {

/// Reads a log of any format and names its channels, by the sheet where one is given.
Result<Log> open_log(const std::filesystem::path& file, const std::optional<std::filesystem::path>& channel_sheet);

}  // namespace revwright::app
