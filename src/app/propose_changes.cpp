#include "app/propose_changes.h"

#include <algorithm>
#include <iterator>
#include <vector>

#include "app/job_description.h"
#include "evidence/evidence.h"
#include "propose/propose.h"
#include "review/leave_out.h"
#include "review/review.h"

namespace revwright::app {
namespace {

/// What the checks left out, no cell may rise by.
void keep_what_was_judged(const JobSheet& job, const Review& review, OpenLogs& open) {
    for (std::size_t i = 0; i < open.driven.size(); ++i) {
        std::vector<Pull> pulls;
        std::ranges::copy_if(review.pulls, std::back_inserter(pulls), [&](const Pull& pull) { return pull.log == i; });
        open.logs[i] = as_judged(job, open.driven[i], pulls);
    }
}

}  // namespace

Result<Proposed> propose_changes(const Path& job_file, std::span<const Path> logs, const std::optional<Path>& image,
                                 const std::optional<Path>& channel_sheet) {
    auto job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    auto parent = open_image_of(*job, image);
    if (!parent) return tl::unexpected(parent.error());
    auto parent_tables = tables_of(*job, *parent);
    if (!parent_tables) return tl::unexpected(parent_tables.error());
    auto standard_tables = tables_of(*job, *job->standard);
    if (!standard_tables) return tl::unexpected(standard_tables.error());
    auto open = open_logs(*job, logs, channel_sheet);
    if (!open) return tl::unexpected(open.error());

    Proposed result;
    result.review = review(job->sheet, (*open)->driven);
    keep_what_was_judged(job->sheet, result.review, **open);
    const auto evidence = gather_evidence(job->sheet, (*open)->driven, result.review, *parent_tables);
    std::vector<bool> log_is_parent;
    for (const auto& driven_with : (*open)->images) log_is_parent.push_back(driven_with == parent->digest);
    auto proposal = propose({.job = job->sheet,
                             .parent = *parent_tables,
                             .standard = *standard_tables,
                             .evidence = evidence,
                             .review = result.review,
                             .log_is_parent = log_is_parent,
                             .logs = (*open)->driven});
    if (!proposal) return tl::unexpected(proposal.error());
    result.proposal = std::move(*proposal);
    return result;
}

bool stands_in_the_way(const Proposed& proposed) {
    const auto stops = [](const Finding& finding) { return finding.severity == Severity::stop; };
    return !proposed.proposal.refused.empty() || std::ranges::any_of(proposed.review.findings, stops);
}

}  // namespace revwright::app
