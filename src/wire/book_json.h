#pragma once

#include <span>
#include <string>

#include "model/happening.h"
#include "model/job_story.h"

namespace revwright::wire {

/// "revwright.jobs/1": every job of a book, and what it waits for.
std::string jobs_json(std::span<const JobStory> stories);

/// "revwright.story/1": a job with its revisions, their runs and verdicts.
std::string story_json(const JobStory& story);

/// "revwright.history/1": who did what, when, entry by entry.
std::string history_json(std::span<const BookEntry> history);

/// "revwright.book-check/1": what looking through the book found.
std::string book_check_json(std::uint64_t entries, std::uint64_t files, std::span<const std::string> faults);

}  // namespace revwright::wire
