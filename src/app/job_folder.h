#pragma once

#include <string>
#include <vector>

#include "app/open_job.h"
#include "book/book.h"
#include "model/job_story.h"

namespace revwright::app {

/// A run of the book as a file, with what it was driven with.
struct LaidOutRun {
    Path log;
    std::size_t revision = 0;  // index into JobFolder::images
};

/// A job of the book as files: the sheet with an entry for each run, and all it names.
struct JobFolder {
    Path sheet;
    std::vector<Path> images;  // of each revision, the standard one first
    std::vector<LaidOutRun> runs;

    /// Every log, or those driven with these revisions.
    std::vector<Path> logs() const;
    std::vector<Path> logs_of(std::size_t revision) const;
};

/// Writes the job into a folder, where the commands that work on files find everything. `more` is one more run, which
/// is not in the book yet.
/// Errors: the folder cannot be written; a file of the book is missing or altered; a name that leads out of the folder.
Result<JobFolder> lay_out(book::Book& book, const JobStory& story, const Path& folder,
                          const std::optional<RunAdded>& more = {});

/// Whether a name of a file stays in the folder it is relative to.
bool stays_inside(const Path& name);

}  // namespace revwright::app
