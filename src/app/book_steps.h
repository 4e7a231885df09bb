#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "app/open_job.h"
#include "book/book.h"
#include "model/job_story.h"
#include "model/review.h"

namespace revwright::app {

// What people do to a job in the book. Each step looks at the job as it stands, does its work and writes one entry; who
// was slower than somebody else is told so (Fault::conflict), and nothing is written.

/// Who does something, and when.
struct Who {
    std::string name, at_utc;
};

Result<std::vector<JobStory>> jobs_of(book::Book& book);
/// Errors (not_found): no job of this id.
Result<JobStory> job_of(book::Book& book, const std::string& id);

enum class RunsOfSheet { refused, left_out };
/// Takes in a job sheet and every file it names: image, description and what that includes, compressor maps, and the
/// channel sheets beside it. Errors: a sheet without an id or an image, with [[run]] entries that are not to be left
/// out (the book takes in each run with its log), or that names a file outside its folder.
Result<JobStory> add_job(book::Book& book, const Path& sheet, const Who& who, RunsOfSheet runs = RunsOfSheet::refused);

/// A new run: its log, and what its [[run]] says besides log and image, as key and value.
struct NewRun {
    Path log;
    std::optional<std::size_t> revision = {};                    // the newest one that is free to drive where not given
    std::vector<std::pair<std::string, std::string>> said = {};  // without a place: on the road
};
struct AddedRun {
    JobStory story;
    Review review;  // of this run, held against those of the standard image
};
Result<AddedRun> add_run(book::Book& book, const std::string& id, const NewRun& run, const Who& who);

/// Changes for the next revision, from every run, over the newest revision that was driven.
Result<JobStory> propose_next(book::Book& book, const std::string& id, const Who& who);

/// Builds the next image from the newest proposal: all of its cells, or those that the given proposal file approves.
Result<JobStory> approve_proposal(book::Book& book, const std::string& id, const std::optional<Path>& proposal,
                                  const Who& who);

Result<JobStory> release_revision(book::Book& book, const std::string& id, const Who& who);
/// Answers for a finding of the last run of the newest driven revision.
Result<JobStory> waive_finding(book::Book& book, const std::string& id, const std::string& check,
                               const std::string& reason, const Who& who);
Result<JobStory> sign_job(book::Book& book, const std::string& id, const std::string& reason, const Who& who);

}  // namespace revwright::app
