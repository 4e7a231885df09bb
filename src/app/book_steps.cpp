#include "app/book_steps.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/book_record.h"
#include "app/build_image.h"
#include "app/files.h"
#include "app/job_folder.h"
#include "app/propose_changes.h"
#include "app/temporary_folder.h"
#include "book/job_story.h"
#include "wire/proposal_json.h"

namespace revwright::app {
namespace {

/// The newest revision that has a run.
const StoryRevision* newest_driven(const JobStory& story) {
    const auto found = std::ranges::find_if(story.revisions.rbegin(), story.revisions.rend(),
                                            [](const StoryRevision& revision) { return !revision.runs.empty(); });
    return found == story.revisions.rend() ? nullptr : &*found;
}

Result<const StoryRevision*> driven(const JobStory& story) {
    const StoryRevision* revision = newest_driven(story);
    if (!revision) return refuse(fmt::format("job {} has no run yet", story.id));
    return revision;
}

/// Whether a proposal file says what the book's says, but for approvals: nobody moves a cell by editing the file.
Result<void> only_approves(const Path& file, const std::string& made) {
    const auto text = read_text(file);
    if (!text) return tl::unexpected(text.error());
    auto theirs = wire::read_proposal(*text, file.string());
    if (!theirs) return tl::unexpected(theirs.error());
    auto ours = wire::read_proposal(made, "proposal.json");
    if (!ours) return tl::unexpected(ours.error());
    theirs->approvals.clear();
    ours->approvals.clear();
    if (wire::proposal_json(*theirs) != wire::proposal_json(*ours))
        return refuse("expected the job's newest proposal with approvals added, found that its cells differ from it",
                      Place{file.string()});
    return {};
}

}  // namespace

Result<std::vector<JobStory>> jobs_of(book::Book& book) {
    const auto history = book.history();
    if (!history) return tl::unexpected(history.error());
    return book::stories_of(*history);
}

Result<JobStory> job_of(book::Book& book, const std::string& id) {
    auto stories = jobs_of(book);
    if (!stories) return tl::unexpected(stories.error());
    const auto found = std::ranges::find(*stories, id, &JobStory::id);
    if (found == stories->end()) return fail(Fault::not_found, fmt::format("the book has no job {}", id));
    return std::move(*found);
}

Result<JobStory> propose_next(book::Book& book, const std::string& id, const Who& who) {
    const auto story = job_of(book, id);
    if (!story) return tl::unexpected(story.error());
    const auto parent = driven(*story);
    if (!parent) return tl::unexpected(parent.error());
    const auto folder = TemporaryFolder::make();
    if (!folder) return tl::unexpected(folder.error());
    const auto files = lay_out(book, *story, folder->path());
    if (!files) return tl::unexpected(files.error());
    const auto proposed = propose_changes(files->sheet, files->logs(), files->images[(*parent)->number], std::nullopt);
    if (!proposed) return tl::unexpected(proposed.error());
    auto kept = book.keep("proposal.json", wire::proposal_json(proposed->proposal));
    if (!kept) return tl::unexpected(kept.error());
    std::uint64_t moves = 0;
    for (const ProposedTable& table : proposed->proposal.tables)
        moves += static_cast<std::uint64_t>(
            std::ranges::count_if(table.cells, [](const ProposedCell& cell) { return cell.to != cell.from; }));
    return record(book, *story, who, ProposalMade{*std::move(kept), (*parent)->image.digest, moves});
}

Result<JobStory> approve_proposal(book::Book& book, const std::string& id, const std::optional<Path>& proposal,
                                  const Who& who) {
    const auto story = job_of(book, id);
    if (!story) return tl::unexpected(story.error());
    const auto parent = driven(*story);
    if (!parent) return tl::unexpected(parent.error());
    if (!(*parent)->proposal) return refuse(fmt::format("job {} has no proposal to approve", id));
    const auto folder = TemporaryFolder::make();
    if (!folder) return tl::unexpected(folder.error());
    const auto files = lay_out(book, *story, folder->path());
    if (!files) return tl::unexpected(files.error());
    const auto made = book.fetch((*parent)->proposal->proposal.digest);
    if (!made) return tl::unexpected(made.error());
    if (proposal)
        if (const auto same = only_approves(*proposal, *made); !same) return tl::unexpected(same.error());
    const Path from = proposal ? *proposal : folder->path() / "proposal.json";
    if (!proposal)
        if (const auto written = write_file(from, *made); !written) return tl::unexpected(written.error());
    const std::string name =
        fmt::format("revision-{}{}", story->revisions.size(), Path((*parent)->image.name).extension().string());
    const Path out = folder->path() / "built" / name;
    std::error_code error;
    std::filesystem::create_directories(out.parent_path(), error);
    const auto built = build_image(files->sheet, from, files->images[(*parent)->number], out,
                                   {proposal ? std::string() : who.name, who.at_utc});
    if (!built) return tl::unexpected(built.error());
    auto image = keep_file(book, name, out);
    auto record_file = keep_file(book, name + ".json", out.string() + ".json");
    auto document = keep_file(book, "proposal.json", from);
    for (const auto* each : {&image, &record_file, &document})
        if (!*each) return tl::unexpected(each->error());
    return record(book, *story, who,
                  RevisionApproved{.image = *std::move(image),
                                   .record = *std::move(record_file),
                                   .proposal = *std::move(document),
                                   .parent = (*parent)->image.digest,
                                   .cells = built->cells.size()});
}

Result<JobStory> release_revision(book::Book& book, const std::string& id, const Who& who) {
    const auto story = job_of(book, id);
    if (!story) return tl::unexpected(story.error());
    return record(book, *story, who, RevisionReleased{story->revisions.back().image.digest});
}

Result<JobStory> waive_finding(book::Book& book, const std::string& id, const std::string& check,
                               const std::string& reason, const Who& who) {
    const auto story = job_of(book, id);
    if (!story) return tl::unexpected(story.error());
    const auto revision = driven(*story);
    if (!revision) return tl::unexpected(revision.error());
    return record(book, *story, who, FindingWaived{(*revision)->runs.back().run.log.digest, check, reason});
}

Result<JobStory> sign_job(book::Book& book, const std::string& id, const std::string& reason, const Who& who) {
    const auto story = job_of(book, id);
    if (!story) return tl::unexpected(story.error());
    return record(book, *story, who, JobSigned{story->revisions.back().image.digest, reason});
}

}  // namespace revwright::app
