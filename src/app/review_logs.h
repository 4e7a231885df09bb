#pragma once

#include "app/open_job.h"
#include "model/review.h"

namespace revwright::app {

struct InspectedLog {
    Log log;
    std::vector<Pull> pulls;
    std::vector<Excluded> excluded;
};

/// What a log holds: channels, rates, quality, pulls. Without a job sheet gears are taken from the log alone.
Result<InspectedLog> inspect(const Path& log, const std::optional<Path>& channel_sheet);

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
