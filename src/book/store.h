#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/chain.h"
#include "core/error.h"

namespace revwright::book {

/// How far somebody had read when they decided.
struct Seen {
    std::uint64_t of_job = 0;  // the number of the job's last entry, 0 for none
};

struct Note {
    std::string key, text;
};

/// Where a book lies: rows that are only ever added, and bytes by their digest. One process may use it from one thread;
/// several processes may share it.
///
/// What `append` or `keep` has acknowledged survives a crash; what they have not is not there at all.
class Store {
public:
    virtual ~Store() = default;

    /// Gives the row its number, `before` and hash, and adds it. With `seen`, refuses (Fault::conflict) where the job
    /// has moved on since, and says how.
    virtual Result<Row> append(Row row, std::optional<Seen> seen) = 0;
    /// In order, from this number on.
    virtual Result<std::vector<Row>> rows(std::uint64_t from = 1) = 0;
    /// Number and hash of the last row as the store itself remembers them, to notice rows that vanished.
    virtual Result<Row> head() = 0;

    /// The same bytes twice are kept once.
    virtual Result<Digest> keep(std::string_view bytes) = 0;
    /// Errors: not_found; io where what is there is not what was kept.
    virtual Result<std::string> fetch(const Digest& digest) = 0;
    /// Every digest that is kept, in order.
    virtual Result<std::vector<Digest>> kept() = 0;
    /// Notes beside the history, which may change and go: accounts, sessions, links. `put` replaces.
    virtual Result<void> put_note(std::string_view kind, std::string_view key, std::string_view text) = 0;
    /// Adds the note only where there is none of that key; says whether it did.
    virtual Result<bool> add_note(std::string_view kind, std::string_view key, std::string_view text) = 0;
    virtual Result<std::optional<std::string>> note(std::string_view kind, std::string_view key) = 0;
    virtual Result<void> remove_note(std::string_view kind, std::string_view key) = 0;
    virtual Result<std::vector<Note>> notes(std::string_view kind) = 0;  // by key

    /// What the database itself finds wrong with its files; empty where nothing is.
    virtual Result<std::string> damage() = 0;
};

/// A folder with a database file and a folder of bytes; made where it does not exist.
Result<std::unique_ptr<Store>> open_folder(const std::string& folder);

/// A database server, "postgresql://user@host/name"; the tables are made where they do not exist.
Result<std::unique_ptr<Store>> open_server(const std::string& connection);

}  // namespace revwright::book
