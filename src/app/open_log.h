#pragma once

#include <filesystem>
#include <optional>

#include "core/error.h"
#include "model/job.h"
#include "model/log.h"
#include "naming/hints.h"

namespace revwright::app {

/// What is known of a log's logger and car before it is opened.
struct LogOpening {
    std::optional<std::filesystem::path> channels = {};    // a channel sheet, or a folder of them
    std::optional<std::filesystem::path> job_folder = {};  // its folder `channels` is looked into, where there is one
    NamingHints hints = {};
};

/// Reads a log of any format and names its channels: by the sheet that is given, else by the one of the folder that
/// fits it, and what no sheet names by words, units and data. Log::named_by says which sheet it was.
Result<Log> open_log(const std::filesystem::path& file, const LogOpening& opening);

/// What the job says of its car, its fuel and of the air on the day of this run. run: may be null.
NamingHints naming_hints(const JobSheet& job, const RunEntry* run);

}  // namespace revwright::app
