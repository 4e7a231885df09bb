#include "app/book_record.h"

#include <utility>

#include "app/files.h"
#include "book/job_story.h"

namespace revwright::app {

Result<JobStory> record(book::Book& book, const JobStory& seen, const Who& who, Happening what) {
    const BookDraft draft{who.at_utc, who.name, seen.id, std::move(what)};
    if (const std::string against = book::objection_to(draft, &seen); !against.empty()) return refuse(against);
    if (const auto entry = book.record(draft, book::Seen{seen.last_entry}); !entry)
        return tl::unexpected(entry.error());
    return job_of(book, seen.id);
}

Result<JobStory> record_beside_others(book::Book& book, JobStory seen, const Who& who, const Happening& what) {
    while (true) {
        auto now = record(book, seen, who, what);
        if (now || now.error().fault != Fault::conflict) return now;
        auto story = job_of(book, seen.id);
        if (!story) return story;
        seen = *std::move(story);
    }
}

std::string_view text_of(const std::vector<std::uint8_t>& bytes) {
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

Result<KeptFile> keep_file(book::Book& book, std::string name, const Path& path) {
    const auto bytes = read_bytes(path);
    if (!bytes) return tl::unexpected(bytes.error());
    return book.keep(std::move(name), text_of(*bytes));
}

}  // namespace revwright::app
