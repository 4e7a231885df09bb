#include "app/review_logs.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/job_images.h"
#include "app/open_log.h"
#include "review/channel_health.h"
#include "review/pulls.h"
#include "review/review.h"

namespace revwright::app {

namespace {

/// Which sheet named a log, and what naming it took for granted: it stands behind every number of the review.
void note_naming(const Log& log, std::vector<std::string>& notes) {
    if (!log.named_by.empty())
        notes.push_back(fmt::format("The channels of {} are named by {}.", log.file, log.named_by));
}

}  // namespace

Result<InspectedLog> inspect(const Path& file, const std::optional<Path>& channels,
                             const std::optional<Path>& job_file) {
    LogOpening opening{.channels = channels};
    if (job_file) {
        const auto job = open_job(*job_file);
        if (!job) return tl::unexpected(job.error());
        opening.job_folder = job->folder;
        opening.hints = naming_hints(job->sheet, run_of_log(*job, file));
    }
    auto log = open_log(file, opening);
    if (!log) return tl::unexpected(log.error());
    PullSearch search = find_pulls(*log, JobSheet{}, 0);
    Log examined = note_faults(std::move(*log), search.pulls);
    return InspectedLog{std::move(examined), std::move(search.pulls), std::move(search.excluded)};
}

Result<ReviewedLogs> review_and_keep(const Path& job_file, std::span<const Path> logs,
                                     const std::optional<Path>& channel_sheet) {
    auto job = open_job(job_file);
    if (job && job->sheet.image) job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    auto open = open_logs(*job, logs, channel_sheet);
    if (!open) return tl::unexpected(open.error());
    Review reviewed = review(job->sheet, (*open)->driven);
    const std::vector<std::string> notes = standard_run_notes(*job, logs);
    reviewed.notes.insert(reviewed.notes.begin(), notes.begin(), notes.end());
    for (const Log& log : (*open)->logs) note_naming(log, reviewed.notes);
    return ReviewedLogs{std::move(*job), std::move(*open), std::move(reviewed)};
}

Result<Review> review_logs(const Path& job, std::span<const Path> logs, const std::optional<Path>& channel_sheet) {
    auto reviewed = review_and_keep(job, logs, channel_sheet);
    if (!reviewed) return tl::unexpected(reviewed.error());
    return std::move(reviewed->review);
}

bool stands_in_the_way(const Review& review) {
    const auto blocks = [](const Finding& finding) { return finding.severity >= Severity::mend; };
    const auto unchecked = [](const NotChecked& check) { return check.standing == Standing::required; };
    return std::ranges::any_of(review.findings, blocks) || std::ranges::any_of(review.not_checked, unchecked);
}

}  // namespace revwright::app
