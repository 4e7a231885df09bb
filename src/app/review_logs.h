#pragma once

#include "app/open_job.h"
#include "model/review.h"

namespace revwright::app {

struct InspectedLog {
    Log log;
    std::vector<Pull> pulls;
    std::vector<Excluded> excluded;
};

/// What a log holds: channels, rates, quality, pulls. Gears are taken from the log alone.
/// channels: a sheet, or a folder of them. A job sheet helps to name the channels: its fuel, its car, the folder
/// `channels` beside it.
Result<InspectedLog> inspect(const Path& log, const std::optional<Path>& channels, const std::optional<Path>& job = {});

/// A review with the job and the logs it was made of, for those who look at the samples again.
struct ReviewedLogs {
    OpenJob job;
    std::unique_ptr<OpenLogs> open;
    Review review;
};
Result<ReviewedLogs> review_and_keep(const Path& job, std::span<const Path> logs,
                                     const std::optional<Path>& channel_sheet);

/// Pulls and findings of the logs, each tied to its [[run]] where the sheet has one.
Result<Review> review_logs(const Path& job, std::span<const Path> logs, const std::optional<Path>& channel_sheet);

/// Whether something must not proceed: a stop or mend, or a required check that could not run.
bool stands_in_the_way(const Review& review);

}  // namespace revwright::app
