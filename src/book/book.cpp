#include "book/book.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

#include "book/happening_json.h"

namespace revwright::book {
namespace {

Result<BookEntry> entry_of(const Row& row) {
    auto what = happening_of(row.record);
    if (!what) return refuse(fmt::format("entry {}: {}", row.number, what.error().what));
    return BookEntry{.number = row.number,
                     .draft = {row.at_utc, row.by, row.job, *std::move(what)},
                     .before = row.before,
                     .hash = row.hash};
}

}  // namespace

std::vector<KeptFile> files_of(const Happening& what) {
    struct {
        std::vector<KeptFile> operator()(const JobAdded& job) const {
            std::vector<KeptFile> files = job.files;
            files.insert(files.begin(), {job.sheet, job.standard});
            return files;
        }
        std::vector<KeptFile> operator()(const RunAdded& run) const { return {run.log}; }
        std::vector<KeptFile> operator()(const ProposalMade& made) const { return {made.proposal}; }
        std::vector<KeptFile> operator()(const RevisionApproved& revision) const {
            return {revision.image, revision.record, revision.proposal};
        }
        std::vector<KeptFile> operator()(const RevisionReleased&) const { return {}; }
        std::vector<KeptFile> operator()(const FindingWaived&) const { return {}; }
        std::vector<KeptFile> operator()(const JobSigned&) const { return {}; }
    } of;
    return std::visit(of, what);
}

Result<Book> Book::open(const std::string& where) {
    const bool server = where.starts_with("postgresql://") || where.starts_with("postgres://");
    auto store = server ? open_server(where) : open_folder(where);
    if (!store) return tl::unexpected(store.error());
    return Book(*std::move(store));
}

Result<BookEntry> Book::record(const BookDraft& draft, std::optional<Seen> seen) {
    auto row = store_->append(
        {.at_utc = draft.at_utc, .by = draft.by, .job = draft.job, .record = record_of(draft.what)}, seen);
    if (!row) return tl::unexpected(row.error());
    return entry_of(*row);
}

Result<std::vector<BookEntry>> Book::history() {
    const auto rows = store_->rows();
    if (!rows) return tl::unexpected(rows.error());
    std::vector<BookEntry> entries;
    std::optional<Row> before;
    for (const Row& row : *rows) {
        if (const std::string fault = fault_of(row, before); !fault.empty())
            return fail(Fault::io, fmt::format("the book does not hold together: {}", fault));
        auto entry = entry_of(row);
        if (!entry) return tl::unexpected(entry.error());
        entries.push_back(*std::move(entry));
        before = row;
    }
    return entries;
}

Result<KeptFile> Book::keep(std::string name, std::string_view bytes) {
    const auto digest = store_->keep(bytes);
    if (!digest) return tl::unexpected(digest.error());
    return KeptFile{std::move(name), *digest, bytes.size()};
}

Result<std::uint64_t> Book::last_entry() {
    const auto head = store_->head();
    if (!head) return tl::unexpected(head.error());
    return head->number;
}

Result<BookCheck> Book::verify() {
    const auto rows = store_->rows();
    const auto head = store_->head();
    const auto kept = store_->kept();
    const auto damage = store_->damage();
    for (const Error* error : {rows ? nullptr : &rows.error(), head ? nullptr : &head.error(),
                               kept ? nullptr : &kept.error(), damage ? nullptr : &damage.error()})
        if (error) return tl::unexpected(*error);
    BookCheck check{.entries = rows->size(), .files = kept->size()};
    if (!damage->empty()) check.faults.push_back("the database is damaged: " + *damage);
    std::optional<Row> before;
    for (const Row& row : *rows) {
        if (std::string fault = fault_of(row, before); !fault.empty()) check.faults.push_back(std::move(fault));
        const auto entry = entry_of(row);
        if (!entry) check.faults.push_back(entry.error().what);
        if (entry)
            for (const KeptFile& file : files_of(entry->draft.what))
                if (!std::ranges::binary_search(*kept, file.digest))
                    check.faults.push_back(
                        fmt::format("{} of entry {} is missing ({})", file.name, row.number, to_hex(file.digest)));
        before = row;
    }
    if (head->number != (before ? before->number : 0) || (before && head->hash != before->hash))
        check.faults.push_back(fmt::format("the history ends with entry {}, the book remembers entry {} as its last",
                                           before ? before->number : 0, head->number));
    for (const Digest& digest : *kept)
        if (const auto bytes = store_->fetch(digest); !bytes) check.faults.push_back(bytes.error().what);
    return check;
}

}  // namespace revwright::book
