#include "cli/text/book_text.h"

#include <fmt/format.h>

#include "cli/text/layout.h"

namespace revwright::cli::text {
namespace {

constexpr std::size_t kShortDigest = 12;

std::string short_of(const Digest& digest) { return to_hex(digest).substr(0, kShortDigest); }

std::string named(const StoryRevision& revision) {
    return revision.number == 0 ? "Standard image" : fmt::format("Revision {}", revision.number);
}

/// How a revision came to be, and whether it may be driven.
std::string origin_of(const StoryRevision& revision) {
    if (revision.number == 0) return fmt::format("{}, image {}", revision.image.name, short_of(revision.image.digest));
    return fmt::format(
        "image {}, {} changed, approved by {} at {}; {}", short_of(revision.image.digest),
        count(revision.cells, "cell"), revision.approved_by, revision.approved_at_utc,
        revision.free_to_drive() ? "released by " + revision.released_by : "not released: it may not be installed yet");
}

std::string run_of(const StoryRun& run) {
    std::string text =
        paragraph(fmt::format("{}, by {} at {}: {}", run.run.log.name, run.by, run.at_utc, run.run.verdict), 4);
    for (const FindingWaived& waiver : run.waived)
        text += paragraph(fmt::format("{} waived: {}", waiver.check, waiver.reason), 6);
    return text;
}

std::string what_of(const Happening& what) {
    struct {
        std::string operator()(const JobAdded& job) const { return "job added: " + job.title; }
        std::string operator()(const RunAdded& run) const {
            return fmt::format("run {} added: {}", run.log.name, run.verdict);
        }
        std::string operator()(const ProposalMade& made) const {
            return fmt::format("{} proposed over image {}", count(made.moves, "cell"), short_of(made.parent));
        }
        std::string operator()(const RevisionApproved& revision) const {
            return fmt::format("{} approved, image {} built", count(revision.cells, "cell"),
                               short_of(revision.image.digest));
        }
        std::string operator()(const RevisionReleased& release) const {
            return fmt::format("image {} released", short_of(release.image));
        }
        std::string operator()(const FindingWaived& waiver) const {
            return fmt::format("{} waived: {}", waiver.check, waiver.reason);
        }
        std::string operator()(const JobSigned& sign_off) const {
            return fmt::format("signed off with image {}: {}", short_of(sign_off.image), sign_off.reason);
        }
    } of;
    return std::visit(of, what);
}

}  // namespace

std::string jobs_text(std::span<const JobStory> stories) {
    if (stories.empty()) return "The book has no job yet: revwright book add-job JOB.toml --by NAME adds one.\n";
    Columns columns({"job", "title", "waits for", "where it stands"});
    for (const JobStory& story : stories)
        columns.add({story.id, story.title, std::string(to_string(story.waits)), story.stands});
    return columns.print(0);
}

std::string story_text(const JobStory& story) {
    std::string text = paragraph(story.title.empty() ? story.id : fmt::format("{}, {}", story.id, story.title), 0);
    text += paragraph(story.stands, 0);
    if (story.waits != Waits::nobody) text += fmt::format("Waits for the {}.\n", to_string(story.waits));
    for (const StoryRevision& revision : story.revisions) {
        text += "\n" + named(revision) + "\n" + paragraph(origin_of(revision), 2);
        for (const StoryRun& run : revision.runs) text += run_of(run);
        if (revision.proposal)
            text += paragraph(
                fmt::format("{} proposed by {}", count(revision.proposal->moves, "cell"), revision.proposed_by), 4);
    }
    return text;
}

std::string history_text(std::span<const BookEntry> history) {
    Columns columns({"entry", "at", "job", "by", "what"});
    for (const BookEntry& entry : history)
        columns.add({std::to_string(entry.number), entry.draft.at_utc, entry.draft.job, entry.draft.by,
                     what_of(entry.draft.what)});
    return columns.empty() ? "Nothing has happened yet.\n" : columns.print(0);
}

}  // namespace revwright::cli::text
