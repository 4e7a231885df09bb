#pragma once

#include <deque>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/description.h"
#include "model/driven.h"
#include "model/image.h"
#include "model/job.h"
#include "model/parameter_reading.h"
#include "model/table.h"

namespace revwright::app {

using Path = std::filesystem::path;

/// What a data description (A2L) says of every parameter, tables to us or not.
struct DescribedParameters {
    ParameterSet set = {};
    std::vector<ParameterQuantities> quantities = {};  // in the order of the set
    std::vector<Path> included = {};                   // files it was read from besides itself
};

/// A job sheet, and the files it names once they are asked for.
struct OpenJob {
    JobSheet sheet;
    Path folder;                                  // paths in the sheet are relative to it
    std::optional<Description> description = {};  // from an A2L: of the tables in the standard image
    std::optional<Image> standard = {};
    std::shared_ptr<const DescribedParameters> parameters = {};  // null where the description is a table sheet

    Path beside(const std::string& path_in_sheet) const { return folder / path_in_sheet; }
};

/// Reads the sheet alone.
Result<OpenJob> open_job(const Path& sheet);
/// Whether every role must be tied to a table that is understood whole, or is only looked at.
enum class RolesAre { needed, only_listed };
/// Reads the sheet, the description and the standard image; refuses a sheet without [image].
Result<OpenJob> open_job_with_image(const Path& sheet, RolesAre roles = RolesAre::needed);
/// The files a job with an image is read from: sheet, standard image, description and what it includes. None is ever
/// written over.
std::vector<Path> sources_of(const OpenJob& job);
/// An image of this job, or the standard one where no file is named.
Result<Image> open_image_of(const OpenJob& job, const std::optional<Path>& file);

/// The sheet's entry for this log, null where it has none.
const RunEntry* run_of_log(const OpenJob& job, const Path& log);

/// The logs of a review with the runs they belong to and the tables they were driven with.
/// `driven` holds views into the other members, so the whole is neither copied nor moved once filled.
struct OpenLogs {
    std::deque<Log> logs;
    std::map<Digest, TableSet> tables;
    std::vector<std::optional<Digest>> images;  // per log: the image it was driven with, where that is known
    std::vector<DrivenLog> driven;
    std::vector<JobImage> job_images;  // every image of the job that could be read; see job_images.h

    OpenLogs() = default;
    OpenLogs(const OpenLogs&) = delete;
    OpenLogs& operator=(const OpenLogs&) = delete;
};

/// Reads logs, names their channels, and ties them to their runs.
Result<std::unique_ptr<OpenLogs>> open_logs(const OpenJob& job, std::span<const Path> files,
                                            const std::optional<Path>& channel_sheet);

}  // namespace revwright::app
