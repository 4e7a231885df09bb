#pragma once

#include <span>
#include <string>

#include "model/happening.h"
#include "model/job_story.h"

namespace revwright::cli::text {

/// A line for each job: who it waits for, and why.
std::string jobs_text(std::span<const JobStory> stories);

/// Where a job stands, and its revisions from the standard image to the newest, each with its runs and their verdicts.
std::string story_text(const JobStory& story);

/// Who did what and when, oldest first.
std::string history_text(std::span<const BookEntry> history);

}  // namespace revwright::cli::text
