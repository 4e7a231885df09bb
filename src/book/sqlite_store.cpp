#include <SQLiteCpp/SQLiteCpp.h>
#include <filesystem>
#include <fmt/format.h>
#include <initializer_list>
#include <iterator>
#include <sqlite3.h>
#include <utility>

#include "book/blob_folder.h"
#include "book/conflict.h"
#include "book/store.h"

namespace revwright::book {
namespace {

constexpr int kBusyMilliseconds = 20'000;
/// What makes a book of each version out of the one before; what stands here once is never changed.
constexpr const char* kVersions[] = {R"(
CREATE TABLE history (
  number INTEGER PRIMARY KEY, at_utc TEXT NOT NULL, by_whom TEXT NOT NULL, job TEXT NOT NULL, record TEXT NOT NULL,
  before TEXT NOT NULL, hash TEXT NOT NULL) STRICT;
CREATE INDEX history_of_job ON history (job, number);
CREATE TABLE head (one INTEGER PRIMARY KEY CHECK (one = 1), number INTEGER NOT NULL, hash TEXT NOT NULL) STRICT;
CREATE TRIGGER history_is_kept BEFORE DELETE ON history BEGIN SELECT RAISE(ABORT, 'history is never deleted'); END;
CREATE TRIGGER history_is_fixed BEFORE UPDATE ON history BEGIN SELECT RAISE(ABORT, 'history is never changed'); END;
)",
                                     R"(
CREATE TABLE note (kind TEXT NOT NULL, key TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (kind, key)) STRICT;
)"};
constexpr int kVersion = static_cast<int>(std::size(kVersions));
constexpr const char* kColumns = "number, at_utc, by_whom, job, record, before, hash";

Digest digest_in(SQLite::Statement& statement, int column) {
    return digest_from_hex(statement.getColumn(column).getString()).value_or(Digest{});
}

Row row_in(SQLite::Statement& statement) {
    return {.number = static_cast<std::uint64_t>(statement.getColumn(0).getInt64()),
            .at_utc = statement.getColumn(1).getString(),
            .by = statement.getColumn(2).getString(),
            .job = statement.getColumn(3).getString(),
            .record = statement.getColumn(4).getString(),
            .before = digest_in(statement, 5),
            .hash = digest_in(statement, 6)};
}

class FolderStore final : public Store {
public:
    FolderStore(const std::filesystem::path& folder, BlobFolder blobs)
        : database_((folder / "book.sqlite").string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE),
          blobs_(std::move(blobs)) {
        database_.setBusyTimeout(kBusyMilliseconds);
        database_.exec("PRAGMA journal_mode = WAL");
        database_.exec("PRAGMA synchronous = FULL");  // what is acknowledged is on the disk
        SQLite::Transaction making(database_, SQLite::TransactionBehavior::IMMEDIATE);
        version_ = database_.execAndGet("PRAGMA user_version").getInt();
        if (version_ >= kVersion) return;
        for (; version_ < kVersion; ++version_) database_.exec(kVersions[version_]);
        database_.exec(fmt::format("PRAGMA user_version = {}", kVersion));
        making.commit();
    }

    int version() const { return version_; }

    Result<Row> append(Row row, std::optional<Seen> seen) override {
        return guarded([&]() -> Result<Row> {
            SQLite::Transaction writing(database_, SQLite::TransactionBehavior::IMMEDIATE);
            if (seen) {
                const auto last = last_of(row.job);
                if ((last ? last->number : 0) != seen->of_job) return moved_on(last.value_or(Row{.job = row.job}));
            }
            const Row head = remembered();
            row.number = head.number + 1;
            row.before = head.hash;
            row.hash = hash_of(row);
            insert(row);
            writing.commit();
            return row;
        });
    }

    Result<std::vector<Row>> rows(std::uint64_t from) override {
        return guarded([&]() -> Result<std::vector<Row>> {
            SQLite::Statement select(database_,
                                     fmt::format("SELECT {} FROM history WHERE number >= ? ORDER BY number", kColumns));
            select.bind(1, static_cast<std::int64_t>(from));
            std::vector<Row> rows;
            while (select.executeStep()) rows.push_back(row_in(select));
            return rows;
        });
    }

    Result<Row> head() override {
        return guarded([&]() -> Result<Row> { return remembered(); });
    }

    Result<Digest> keep(std::string_view bytes) override { return blobs_.keep(bytes); }
    Result<std::string> fetch(const Digest& digest) override { return blobs_.fetch(digest); }
    Result<std::vector<Digest>> kept() override { return blobs_.kept(); }

    Result<void> put_note(std::string_view kind, std::string_view key, std::string_view text) override {
        return guarded([&]() -> Result<void> {
            write("INSERT OR REPLACE INTO note VALUES (?, ?, ?)", {kind, key, text});
            return {};
        });
    }

    Result<bool> add_note(std::string_view kind, std::string_view key, std::string_view text) override {
        return guarded([&]() -> Result<bool> {
            return write("INSERT OR IGNORE INTO note VALUES (?, ?, ?)", {kind, key, text}) > 0;
        });
    }

    Result<std::optional<std::string>> note(std::string_view kind, std::string_view key) override {
        return guarded([&]() -> Result<std::optional<std::string>> {
            SQLite::Statement select(database_, "SELECT text FROM note WHERE kind = ? AND key = ?");
            select.bind(1, std::string(kind));
            select.bind(2, std::string(key));
            if (!select.executeStep()) return std::nullopt;
            return select.getColumn(0).getString();
        });
    }

    Result<void> remove_note(std::string_view kind, std::string_view key) override {
        return guarded([&]() -> Result<void> {
            write("DELETE FROM note WHERE kind = ? AND key = ?", {kind, key});
            return {};
        });
    }

    Result<std::vector<Note>> notes(std::string_view kind) override {
        return guarded([&]() -> Result<std::vector<Note>> {
            SQLite::Statement select(database_, "SELECT key, text FROM note WHERE kind = ? ORDER BY key");
            select.bind(1, std::string(kind));
            std::vector<Note> notes;
            while (select.executeStep())
                notes.push_back({select.getColumn(0).getString(), select.getColumn(1).getString()});
            return notes;
        });
    }

    Result<std::string> damage() override {
        return guarded([&]() -> Result<std::string> {
            const std::string said = database_.execAndGet("PRAGMA integrity_check").getString();
            return said == "ok" ? std::string() : said;
        });
    }

private:
    /// Errors of the database as ours; what was begun is rolled back by then.
    template <class Work>
    auto guarded(const Work& work) -> decltype(work()) {
        try {
            return work();
        } catch (const SQLite::Exception& error) {
            if (error.getErrorCode() == SQLITE_FULL)
                return fail(Fault::io, "the disk is full: nothing was written into the book");
            return fail(Fault::io, fmt::format("the book's database says: {}", error.what()));
        }
    }

    /// How many rows it changed.
    int write(const char* statement, std::initializer_list<std::string_view> values) {
        SQLite::Statement prepared(database_, statement);
        int index = 0;
        for (const std::string_view value : values) prepared.bind(++index, std::string(value));
        return prepared.exec();
    }

    std::optional<Row> last_of(const std::string& job) {
        SQLite::Statement select(
            database_, fmt::format("SELECT {} FROM history WHERE job = ? ORDER BY number DESC LIMIT 1", kColumns));
        select.bind(1, job);
        if (!select.executeStep()) return std::nullopt;
        return row_in(select);
    }

    Row remembered() {
        SQLite::Statement select(database_, "SELECT number, hash FROM head");
        if (!select.executeStep()) return {};
        return {.number = static_cast<std::uint64_t>(select.getColumn(0).getInt64()), .hash = digest_in(select, 1)};
    }

    void insert(const Row& row) {
        SQLite::Statement add(database_,
                              fmt::format("INSERT INTO history ({}) VALUES (?, ?, ?, ?, ?, ?, ?)", kColumns));
        add.bind(1, static_cast<std::int64_t>(row.number));
        add.bind(2, row.at_utc);
        add.bind(3, row.by);
        add.bind(4, row.job);
        add.bind(5, row.record);
        add.bind(6, to_hex(row.before));
        add.bind(7, to_hex(row.hash));
        add.exec();
        SQLite::Statement remember(database_, "INSERT OR REPLACE INTO head VALUES (1, ?, ?)");
        remember.bind(1, static_cast<std::int64_t>(row.number));
        remember.bind(2, to_hex(row.hash));
        remember.exec();
    }

    SQLite::Database database_;
    BlobFolder blobs_;
    int version_ = 0;
};

}  // namespace

Result<std::unique_ptr<Store>> open_folder(const std::string& folder) {
    const std::filesystem::path path(folder);
    auto blobs = BlobFolder::open(path / "blobs");
    if (!blobs) return tl::unexpected(blobs.error());
    try {
        auto store = std::make_unique<FolderStore>(path, *std::move(blobs));
        if (store->version() != kVersion)
            return refuse(
                fmt::format("expected a book of version {} or older, found one of version {}: a newer program wrote it",
                            kVersion, store->version()),
                Place{(path / "book.sqlite").string()});
        return store;
    } catch (const SQLite::Exception& error) {
        return refuse(fmt::format("expected a book, found a file that the database does not open: {}", error.what()),
                      Place{(path / "book.sqlite").string()});
    }
}

}  // namespace revwright::book
