#include <algorithm>
#include <fmt/format.h>
#include <utility>

#include "app/book_record.h"
#include "app/files.h"
#include "app/job_folder.h"
#include "book/job_story.h"

namespace revwright::app {
namespace {

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

}  // namespace revwright::app
