#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <iterator>
#include <utility>

#include "app/book_record.h"
#include "app/files.h"
#include "app/job_folder.h"
#include "app/review_logs.h"
#include "app/temporary_folder.h"
#include "book/job_story.h"
#include "model/review_words.h"

namespace revwright::app {
namespace {

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

}  // namespace

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

}  // namespace revwright::app
