#pragma once

#include <string>
#include <vector>

#include "book/book.h"

namespace revwright::book {

// A job of a made-up car, for tests of the book.

inline KeptFile file_named(const std::string& name) {
    return {name, sha256({reinterpret_cast<const std::uint8_t*>(name.data()), name.size()}), name.size()};
}

inline BookDraft drafted(Happening what, std::string by = "Ilse Arnd", std::string job = "K-104") {
    return {"2026-03-14T09:30:00Z", std::move(by), std::move(job), std::move(what)};
}

inline JobAdded a_job() {
    return {.title = "Corva 18T, wider intake",
            .sheet = file_named("job.toml"),
            .standard = file_named("standard.bin"),
            .files = {file_named("tables.toml")}};
}

inline RunAdded a_run(const std::string& log, const KeptFile& image, Severity worst = Severity::clear,
                      std::vector<std::string> open = {}) {
    return {
        .log = file_named(log), .image = image.digest, .worst = worst, .open = std::move(open), .verdict = "as told"};
}

inline RevisionApproved a_revision(const std::string& image, const KeptFile& parent) {
    return {.image = file_named(image),
            .record = file_named(image + ".json"),
            .proposal = file_named(image + ".proposal"),
            .parent = parent.digest,
            .cells = 12};
}

/// Entries as a book would number them, without their hashes.
inline std::vector<BookEntry> told(const std::vector<BookDraft>& drafts) {
    std::vector<BookEntry> entries;
    for (const BookDraft& draft : drafts) entries.push_back({.number = entries.size() + 1, .draft = draft});
    return entries;
}

}  // namespace revwright::book
