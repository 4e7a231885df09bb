#include "book/job_story.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <utility>

namespace revwright::book {
namespace {

const StoryRevision* revision_of(const JobStory& story, const Digest& image) {
    const auto found = std::ranges::find_if(
        story.revisions, [&](const StoryRevision& revision) { return revision.image.digest == image; });
    return found == story.revisions.end() ? nullptr : &*found;
}

StoryRevision* revision_of(JobStory& story, const Digest& image) {
    return const_cast<StoryRevision*>(revision_of(std::as_const(story), image));
}

const StoryRun* run_of(const JobStory& story, const Digest& log) {
    for (const StoryRevision& revision : story.revisions)
        for (const StoryRun& run : revision.runs)
            if (run.run.log.digest == log) return &run;
    return nullptr;
}

std::string called(const StoryRevision& revision) {
    return revision.number == 0 ? "the standard image" : fmt::format("revision {}", revision.number);
}

/// Checks of the run that nobody has answered for.
std::vector<std::string> still_open(const StoryRun& run) {
    std::vector<std::string> open = run.run.open;
    std::erase_if(open, [&](const std::string& check) {
        return std::ranges::count(run.waived, check, &FindingWaived::check) > 0;
    });
    return open;
}

/// Why something cannot happen to a job as it stands.
struct Objection {
    const JobStory& story;

    std::string operator()(const JobAdded&) const { return fmt::format("there is a job {} already", story.id); }
    std::string operator()(const RunAdded& run) const {
        const StoryRevision* revision = revision_of(story, run.image);
        if (!revision) return "its image is none of the job's";
        if (!revision->free_to_drive())
            return fmt::format("revision {} is not released: it may not be installed yet", revision->number);
        if (run_of(story, run.log.digest)) return "this very log is in the job already";
        return {};
    }
    std::string operator()(const ProposalMade& made) const {
        const StoryRevision* parent = revision_of(story, made.parent);
        if (!parent) return "it changes an image that is none of the job's";
        if (parent->runs.empty())
            return fmt::format("{} has no run yet, and a proposal is made from runs", called(*parent));
        return {};
    }
    std::string operator()(const RevisionApproved& revision) const {
        if (!revision_of(story, revision.parent)) return "its parent is none of the job's images";
        if (revision_of(story, revision.image.digest)) return "this very image is in the job already";
        return {};
    }
    std::string operator()(const RevisionReleased& release) const {
        const StoryRevision* revision = revision_of(story, release.image);
        if (!revision) return "the image is none of the job's";
        if (revision->free_to_drive()) return fmt::format("{} is free to drive already", called(*revision));
        return {};
    }
    std::string operator()(const FindingWaived& waiver) const {
        if (!run_of(story, waiver.log)) return "the log is none of the job's";
        if (waiver.reason.empty()) return "a waiver needs a reason";
        const auto& open = run_of(story, waiver.log)->run.open;
        if (std::ranges::count(open, waiver.check) == 0) return fmt::format("the run leaves no {} open", waiver.check);
        return {};
    }
    std::string operator()(const JobSigned& sign_off) const {
        const StoryRevision* revision = revision_of(story, sign_off.image);
        if (!revision) return "the image is none of the job's";
        if (revision->runs.empty()) return fmt::format("{} has no run: nothing shows that it holds", called(*revision));
        const std::vector<std::string> open = still_open(revision->runs.back());
        if (!open.empty())
            return fmt::format("the last run with {} leaves open: {}. Each is waived with a reason first",
                               called(*revision), fmt::join(open, ", "));
        return {};
    }
};

/// Takes an entry into the story; nothing stands against it.
class Teller {
public:
    Teller(JobStory& story, const BookEntry& entry) : story_(story), entry_(entry) {}

    void operator()(const JobAdded& job) {
        const BookDraft& draft = entry_.draft;
        story_ = {.id = draft.job, .title = job.title, .job = job, .added_by = draft.by, .added_at_utc = draft.at_utc};
        story_.revisions.push_back({.image = job.standard});
    }
    void operator()(const RunAdded& run) {
        revision_of(story_, run.image)->runs.push_back({entry_.number, entry_.draft.at_utc, entry_.draft.by, run, {}});
    }
    void operator()(const ProposalMade& made) {
        StoryRevision* parent = revision_of(story_, made.parent);
        parent->proposal = made;
        parent->proposed_by = entry_.draft.by;
    }
    void operator()(const RevisionApproved& approved) {
        const auto parent = static_cast<std::size_t>(revision_of(story_, approved.parent) - story_.revisions.data());
        story_.revisions.push_back({.number = story_.revisions.size(),
                                    .parent = parent,
                                    .image = approved.image,
                                    .cells = approved.cells,
                                    .approved_by = entry_.draft.by,
                                    .approved_at_utc = entry_.draft.at_utc});
    }
    void operator()(const RevisionReleased& release) {
        revision_of(story_, release.image)->released_by = entry_.draft.by;
    }
    void operator()(const FindingWaived& waiver) {
        for (StoryRevision& revision : story_.revisions)
            for (StoryRun& run : revision.runs)
                if (run.run.log.digest == waiver.log) run.waived.push_back(waiver);
    }
    void operator()(const JobSigned& sign_off) {
        story_.sign_off = sign_off;
        story_.signed_by = entry_.draft.by;
    }

private:
    JobStory& story_;
    const BookEntry& entry_;
};

/// Where it stands and who it waits for, from the newest revision.
void conclude(JobStory& story) {
    const StoryRevision& newest = story.revisions.back();
    const std::string name = called(newest);
    const auto waits = [&](Waits who, std::string sentence) { story.waits = who, story.stands = std::move(sentence); };
    if (story.sign_off)
        return waits(Waits::nobody, fmt::format("Signed off with {} by {}.",
                                                called(*revision_of(story, story.sign_off->image)), story.signed_by));
    if (!newest.free_to_drive())
        return waits(Waits::calibrator, fmt::format("Revision {} is built from {} approved cell{}: to be released.",
                                                    newest.number, newest.cells, newest.cells == 1 ? "" : "s"));
    if (newest.runs.empty()) return waits(Waits::technician, fmt::format("A run with {} is to be driven.", name));
    const StoryRun& last = newest.runs.back();
    if (newest.proposal && newest.proposal->moves > 0)
        return waits(Waits::calibrator,
                     fmt::format("A proposal of {} cell{} over {} waits for approval.", newest.proposal->moves,
                                 newest.proposal->moves == 1 ? "" : "s", name));
    if (last.run.worst == Severity::stop)
        return waits(Waits::calibrator, fmt::format("Do not drive {} again: {}", name, last.run.verdict));
    if (!still_open(last).empty())
        return waits(Waits::calibrator, fmt::format("The last run with {} does not hold: {}", name, last.run.verdict));
    waits(Waits::calibrator, fmt::format("The last run with {} holds: to be signed off, or taken further.", name));
}

}  // namespace

std::string objection_to(const BookDraft& draft, const JobStory* story) {
    if (draft.by.empty()) return "nobody is named who does it";
    const bool is_new = std::holds_alternative<JobAdded>(draft.what);
    if (!story) return is_new ? std::string() : fmt::format("there is no job {}", draft.job);
    if (story->sign_off && !is_new) return fmt::format("job {} is signed off and closed", story->id);
    return std::visit(Objection{*story}, draft.what);
}

Result<std::vector<JobStory>> stories_of(std::span<const BookEntry> history) {
    std::vector<JobStory> stories;
    for (const BookEntry& entry : history) {
        auto story = std::ranges::find(stories, entry.draft.job, &JobStory::id);
        const std::string against = objection_to(entry.draft, story == stories.end() ? nullptr : &*story);
        if (!against.empty())
            return fail(Fault::io, fmt::format("entry {} of the book cannot have happened: {}", entry.number, against));
        if (story == stories.end()) story = stories.emplace(stories.end());
        std::visit(Teller(*story, entry), entry.draft.what);
        story->last_entry = entry.number;
    }
    for (JobStory& story : stories) conclude(story);
    return stories;
}

}  // namespace revwright::book
