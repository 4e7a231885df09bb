#include "wire/book_json.h"

#include "wire/json.h"

namespace revwright::wire {
namespace {

Json words(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json file_json(const KeptFile& file) {
    return {{"name", file.name}, {"sha256", to_hex(file.digest)}, {"bytes", file.bytes}};
}

Json run_json(const StoryRun& run) {
    Json waived = Json::array();
    for (const FindingWaived& waiver : run.waived)
        waived.push_back({{"check", waiver.check}, {"reason", waiver.reason}});
    return {{"entry", run.entry},   {"log", file_json(run.run.log)},     {"by", run.by},
            {"at_utc", run.at_utc}, {"worst", to_string(run.run.worst)}, {"verdict", run.run.verdict},
            {"open", run.run.open}, {"waived", std::move(waived)}};
}

Json proposal_json(const StoryRevision& revision) {
    if (!revision.proposal) return nullptr;
    return {{"proposal", file_json(revision.proposal->proposal)},
            {"moves", revision.proposal->moves},
            {"by", revision.proposed_by}};
}

Json revision_json(const StoryRevision& revision) {
    Json runs = Json::array();
    for (const StoryRun& run : revision.runs) runs.push_back(run_json(run));
    return {{"number", revision.number},
            {"parent", revision.parent ? Json(*revision.parent) : Json(nullptr)},
            {"image", file_json(revision.image)},
            {"cells", revision.cells},
            {"approved_by", words(revision.approved_by)},
            {"approved_at_utc", words(revision.approved_at_utc)},
            {"released_by", words(revision.released_by)},
            {"free_to_drive", revision.free_to_drive()},
            {"runs", std::move(runs)},
            {"proposal", proposal_json(revision)}};
}

Json head_json(const JobStory& story) {
    return {{"id", story.id},         {"title", words(story.title)},    {"waits_for", to_string(story.waits)},
            {"stands", story.stands}, {"last_entry", story.last_entry}, {"revisions", story.revisions.size()}};
}

/// What of an entry is worth a line beside who and when.
Json about(const Happening& what) {
    struct {
        Json operator()(const JobAdded& job) const {
            return {{"what", "job-added"}, {"title", job.title}, {"sheet_sha256", to_hex(job.sheet.digest)}};
        }
        Json operator()(const RunAdded& run) const {
            return {{"what", "run-added"},
                    {"log", file_json(run.log)},
                    {"image_sha256", to_hex(run.image)},
                    {"verdict", run.verdict}};
        }
        Json operator()(const ProposalMade& made) const {
            return {{"what", "proposal-made"},
                    {"proposal", file_json(made.proposal)},
                    {"parent_sha256", to_hex(made.parent)},
                    {"moves", made.moves}};
        }
        Json operator()(const RevisionApproved& revision) const {
            return {{"what", "revision-approved"},
                    {"image", file_json(revision.image)},
                    {"parent_sha256", to_hex(revision.parent)},
                    {"cells", revision.cells}};
        }
        Json operator()(const RevisionReleased& release) const {
            return {{"what", "revision-released"}, {"image_sha256", to_hex(release.image)}};
        }
        Json operator()(const FindingWaived& waiver) const {
            return {{"what", "finding-waived"},
                    {"log_sha256", to_hex(waiver.log)},
                    {"check", waiver.check},
                    {"reason", waiver.reason}};
        }
        Json operator()(const JobSigned& sign_off) const {
            return {{"what", "job-signed"}, {"image_sha256", to_hex(sign_off.image)}, {"reason", sign_off.reason}};
        }
    } of;
    return std::visit(of, what);
}

}  // namespace

std::string jobs_json(std::span<const JobStory> stories) {
    Json json{{"schema", "revwright.jobs/1"}, {"jobs", Json::array()}};
    for (const JobStory& story : stories) json["jobs"].push_back(head_json(story));
    return print(json);
}

std::string story_json(const JobStory& story) {
    Json json{{"schema", "revwright.story/1"}};
    json.update(head_json(story));
    json["added_by"] = story.added_by;
    json["added_at_utc"] = story.added_at_utc;
    json["sheet"] = file_json(story.job.sheet);
    json["revisions"] = Json::array();
    for (const StoryRevision& revision : story.revisions) json["revisions"].push_back(revision_json(revision));
    json["sign_off"] = story.sign_off ? Json{{"image_sha256", to_hex(story.sign_off->image)},
                                             {"reason", story.sign_off->reason},
                                             {"by", story.signed_by}}
                                      : Json(nullptr);
    return print(json);
}

std::string history_json(std::span<const BookEntry> history) {
    Json json{{"schema", "revwright.history/1"}, {"entries", Json::array()}};
    for (const BookEntry& entry : history) {
        Json one{{"entry", entry.number},
                 {"at_utc", entry.draft.at_utc},
                 {"by", entry.draft.by},
                 {"job", entry.draft.job},
                 {"hash", to_hex(entry.hash)}};
        one.update(about(entry.draft.what));
        json["entries"].push_back(std::move(one));
    }
    return print(json);
}

std::string book_check_json(std::uint64_t entries, std::uint64_t files, std::span<const std::string> faults) {
    Json json{{"schema", "revwright.book-check/1"}, {"holds", faults.empty()}, {"entries", entries}, {"files", files}};
    json["faults"] = Json::array();
    for (const std::string& fault : faults) json["faults"].push_back(fault);
    return print(json);
}

}  // namespace revwright::wire
