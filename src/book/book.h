#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/store.h"
#include "core/error.h"
#include "model/happening.h"

namespace revwright::book {

/// What looking through the whole book found.
struct BookCheck {
    std::uint64_t entries = 0, files = 0;
    std::vector<std::string> faults = {};  // one sentence each; none: every byte is as it was written
};

/// The store of jobs, images, runs and approvals: a history that only grows, each entry tied to the one before, and the
/// files it speaks of. What holds now is worked out from the history (job_story.h), never stored.
class Book {
public:
    /// where: a folder, or "postgresql://...". Made where it does not exist.
    /// Errors: not a book, a newer one, a server that cannot be reached.
    static Result<Book> open(const std::string& where);

    /// Adds an entry. With `seen`, only if nothing happened to the job since (Fault::conflict): of two who decide at
    /// the same time one is told that the other was first. The files that it names must be kept already.
    Result<BookEntry> record(const BookDraft& draft, std::optional<Seen> seen = {});

    /// In order. Errors: an entry that this program does not know, or that was altered.
    Result<std::vector<BookEntry>> history();

    Result<KeptFile> keep(std::string name, std::string_view bytes);
    Result<std::string> fetch(const Digest& digest) { return store_->fetch(digest); }

    /// Accounts, sessions and the like, which may change: see Store.
    Store& notes() { return *store_; }
    /// The number of the last entry: whether anything happened since somebody looked.
    Result<std::uint64_t> last_entry();

    /// Looks at every entry and every file.
    Result<BookCheck> verify();

private:
    explicit Book(std::unique_ptr<Store> store) : store_(std::move(store)) {}
    std::unique_ptr<Store> store_;
};

/// The files an entry speaks of.
std::vector<KeptFile> files_of(const Happening& what);

}  // namespace revwright::book
