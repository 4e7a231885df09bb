#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "model/job_story.h"

namespace revwright::book {

/// Every job of the history, in the order in which they were added. Pure: the same history tells the same stories.
///
/// Entries that cannot have happened as they stand there (a run with an image that the job does not have, a release of
/// nothing) are an Error that names the entry: the book was written by something else than this program.
Result<std::vector<JobStory>> stories_of(std::span<const BookEntry> history);

/// Why the draft cannot happen to the job as it stands; empty where it can. `story` is nothing for a new job.
std::string objection_to(const BookDraft& draft, const JobStory* story);

}  // namespace revwright::book
