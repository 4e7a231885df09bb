#include "app/book_steps.h"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <iterator>

#include "app/build_image.h"
#include "app/files.h"
#include "app/job_folder.h"
#include "app/propose_changes.h"
#include "app/review_logs.h"
#include "app/temporary_folder.h"
#include "book/job_story.h"
#include "model/review_words.h"
#include "wire/proposal_json.h"

namespace revwright::app {
namespace {

/// Writes the entry if it can happen to the job as it was seen, and tells the story as it stands then.
Result<JobStory> record(book::Book& book, const JobStory& seen, const Who& who, Happening what) {
    const BookDraft draft{who.at_utc, who.name, seen.id, std::move(what)};
    if (const std::string against = book::objection_to(draft, &seen); !against.empty()) return refuse(against);
    if (const auto entry = book.record(draft, book::Seen{seen.last_entry}); !entry)
        return tl::unexpected(entry.error());
    return job_of(book, seen.id);
}

/// The same for what does not depend on what others do meanwhile, as two runs do not: where somebody was faster it is
/// looked at again.
Result<JobStory> record_beside_others(book::Book& book, JobStory seen, const Who& who, const Happening& what) {
    while (true) {
        auto now = record(book, seen, who, what);
        if (now || now.error().fault != Fault::conflict) return now;
        auto story = job_of(book, seen.id);
        if (!story) return story;
        seen = *std::move(story);
    }
}

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

/// Keys of a [[run]] that are words; the others are numbers.
bool is_word(const std::string& key) { return key == "place" || key == "direction" || key == "fuel_batch"; }

Result<std::string> run_text(const NewRun& run) {
    std::string text;
    const auto says_place = [](const auto& said) { return said.first == "place"; };
    if (std::ranges::none_of(run.said, says_place)) text = "place = 'road'\n";
    for (const auto& [key, value] : run.said) {
        if (is_word(key)) {
            if (value.find_first_of("'\n\r") != std::string::npos)
                return refuse(fmt::format("expected words without quotes for {}, found {}", key, value));
            text += fmt::format("{} = '{}'\n", key, value);
            continue;
        }
        double number = 0.0;
        const auto [end, error] = std::from_chars(value.data(), value.data() + value.size(), number);
        if (error != std::errc() || end != value.data() + value.size())
            return refuse(fmt::format("expected a number for {}, found {}", key, value));
        text += fmt::format("{} = {}\n", key, number);
    }
    return text;
}

/// What the review says of one log.
Review about(const Review& review, std::size_t log) {
    const auto elsewhere = [&](const auto& each) { return each.log && *each.log != log; };
    Review one = review;
    std::erase_if(one.findings, elsewhere);
    std::erase_if(one.not_checked, elsewhere);
    return one;
}

Severity worst_of(const Review& review) {
    Severity worst = Severity::clear;
    for (const Finding& finding : review.findings) worst = std::max(worst, finding.severity);
    return worst;
}

std::vector<std::string> open_checks(const Review& review) {
    std::vector<std::string> open = checks_at(review, Severity::stop);
    for (const auto& more : {checks_at(review, Severity::mend), required_but_unchecked(review)})
        std::ranges::copy_if(more, std::back_inserter(open),
                             [&](const std::string& check) { return std::ranges::count(open, check) == 0; });
    return open;
}

std::string_view text_of(const std::vector<std::uint8_t>& bytes) {
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

Result<KeptFile> keep_file(book::Book& book, std::string name, const Path& path) {
    const auto bytes = read_bytes(path);
    if (!bytes) return tl::unexpected(bytes.error());
    return book.keep(std::move(name), text_of(*bytes));
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

/// The sheet's text without its [[run]] entries: from each such line to the next line that opens something else.
std::string without_runs(std::string_view text) {
    std::string left;
    bool in_run = false;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size() - 1) + 1;
        const std::string_view line = text.substr(0, end);
        const std::size_t first = std::min(line.find_first_not_of(" \t"), line.size());
        if (line.substr(first).starts_with('[')) in_run = line.substr(first).starts_with("[[run]]");
        if (!in_run) left += line;
        text.remove_prefix(end);
    }
    return left;
}

/// Every file that belongs to the sheet, besides itself and the standard image.
Result<std::vector<Path>> companions_of(const OpenJob& job) {
    std::vector<Path> files = sources_of(job);
    files.erase(files.begin(), files.begin() + 2);
    for (const Hardware& hardware : job.sheet.hardware)
        if (!hardware.map.empty()) files.push_back(job.beside(hardware.map));
    std::error_code none;  // most jobs have no such folder
    std::vector<Path> sheets;
    for (const auto& file : std::filesystem::directory_iterator(job.folder / "channels", none))
        if (file.path().extension() == ".toml") sheets.push_back(file.path());
    std::ranges::sort(sheets);
    files.insert(files.end(), sheets.begin(), sheets.end());
    return files;
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

Result<JobStory> add_job(book::Book& book, const Path& sheet, const Who& who, RunsOfSheet runs) {
    const auto job = open_job_with_image(sheet);
    if (!job) return tl::unexpected(job.error());
    const std::string id = job->sheet.id;
    if (id.empty())
        return refuse("expected an id in [job], by which the book knows the job, found none", Place{sheet.string()});
    if (!job->sheet.runs.empty() && runs == RunsOfSheet::refused)
        return refuse(
            "expected a job sheet without [[run]], or --without-runs: the book takes in each run with its log",
            Place{sheet.string(), job->sheet.runs.front().where.line});
    const auto known = jobs_of(book);
    if (!known) return tl::unexpected(known.error());
    const auto same = std::ranges::find(*known, id, &JobStory::id);
    BookDraft draft{who.at_utc, who.name, id, JobAdded{.title = job->sheet.title}};
    if (const std::string against = book::objection_to(draft, same == known->end() ? nullptr : &*same);
        !against.empty())
        return refuse(against, Place{sheet.string()});
    const auto companions = companions_of(*job);
    if (!companions) return tl::unexpected(companions.error());

    JobAdded added{.title = job->sheet.title};
    const auto keep = [&](const Path& path) -> Result<KeptFile> {
        const Path name =
            std::filesystem::weakly_canonical(path).lexically_relative(std::filesystem::weakly_canonical(job->folder));
        if (!stays_inside(name))
            return refuse(
                fmt::format("expected every file of the job in the sheet's own folder, found {}", path.string()),
                Place{sheet.string()});
        return keep_file(book, name.string(), path);
    };
    const auto text = read_text(sheet);
    if (!text) return tl::unexpected(text.error());
    auto kept_sheet = book.keep(sheet.filename().string(), without_runs(*text));
    auto standard = keep(job->beside(job->sheet.image->file));
    for (const auto* each : {&kept_sheet, &standard})
        if (!*each) return tl::unexpected(each->error());
    added.sheet = *std::move(kept_sheet), added.standard = *std::move(standard);
    for (const Path& path : *companions) {
        auto kept = keep(path);
        if (!kept) return tl::unexpected(kept.error());
        if (std::ranges::count(added.files, *kept) == 0) added.files.push_back(*std::move(kept));
    }
    draft.what = std::move(added);
    if (const auto entry = book.record(draft, book::Seen{0}); !entry) return tl::unexpected(entry.error());
    return job_of(book, id);
}

Result<AddedRun> add_run(book::Book& book, const std::string& id, const NewRun& run, const Who& who) {
    const auto story = job_of(book, id);
    if (!story) return tl::unexpected(story.error());
    const std::size_t newest = static_cast<std::size_t>(
        std::ranges::find_if(story->revisions.rbegin(), story->revisions.rend(), &StoryRevision::free_to_drive).base() -
        story->revisions.begin() - 1);
    const std::size_t revision = run.revision.value_or(newest);
    if (revision >= story->revisions.size()) return refuse(fmt::format("job {} has no revision {}", id, revision));
    auto text = run_text(run);
    if (!text) return tl::unexpected(text.error());
    const auto bytes = read_bytes(run.log);
    if (!bytes) return tl::unexpected(bytes.error());
    const KeptFile log{run.log.filename().string(), sha256(*bytes), bytes->size()};
    RunAdded added{.log = log, .image = story->revisions[revision].image.digest, .run = *std::move(text)};
    if (const std::string against = book::objection_to({who.at_utc, who.name, id, added}, &*story); !against.empty())
        return refuse(against, Place{run.log.string()});
    if (const auto kept = book.keep(log.name, text_of(*bytes)); !kept) return tl::unexpected(kept.error());

    const auto folder = TemporaryFolder::make();
    if (!folder) return tl::unexpected(folder.error());
    const auto files = lay_out(book, *story, folder->path(), added);
    if (!files) return tl::unexpected(files.error());
    std::vector<Path> logs = revision == 0 ? std::vector<Path>{} : files->logs_of(0);
    logs.push_back(files->runs.back().log);
    const auto review = review_logs(files->sheet, logs, std::nullopt);
    if (!review) return tl::unexpected(review.error());
    AddedRun result{.story = {}, .review = about(*review, logs.size() - 1)};
    for (std::string& name : result.review.logs) name = Path(name).filename().string();  // the folder is soon gone
    added.worst = worst_of(result.review);
    added.open = open_checks(result.review);
    added.verdict = verdict_in_words(result.review);
    auto now = record_beside_others(book, *story, who, std::move(added));
    if (!now) return tl::unexpected(now.error());
    result.story = *std::move(now);
    return result;
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
