#include "app/review_logs.h"

#include <algorithm>

#include "app/open_log.h"
#include "review/pulls.h"
#include "review/review.h"

namespace revwright::app {

Result<InspectedLog> inspect(const Path& file, const std::optional<Path>& channel_sheet) {
    auto log = open_log(file, channel_sheet);
    if (!log) return tl::unexpected(log.error());
    PullSearch search = find_pulls(*log, JobSheet{}, 0);
    return InspectedLog{std::move(*log), std::move(search.pulls), std::move(search.excluded)};
}

Result<ReviewedLogs> review_and_keep(const Path& job_file, std::span<const Path> logs,
                                     const std::optional<Path>& channel_sheet) {
    auto job = open_job(job_file);
    if (job && job->sheet.image) job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    auto open = open_logs(*job, logs, channel_sheet);
    if (!open) return tl::unexpected(open.error());
    Review reviewed = review(job->sheet, (*open)->driven);
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
