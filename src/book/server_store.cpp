#include <fmt/format.h>
#include <iterator>
#include <pqxx/pqxx>
#include <utility>

#include "book/conflict.h"
#include "book/packed.h"
#include "book/store.h"

namespace revwright::book {
namespace {

/// What makes a book of each version out of the one before; what stands here once is never changed.
constexpr const char* kVersions[] = {R"(
CREATE TABLE history (
  number BIGINT PRIMARY KEY, at_utc TEXT NOT NULL, by_whom TEXT NOT NULL, job TEXT NOT NULL, record TEXT NOT NULL,
  before TEXT NOT NULL, hash TEXT NOT NULL);
CREATE INDEX history_of_job ON history (job, number);
CREATE TABLE head (one INTEGER PRIMARY KEY CHECK (one = 1), number BIGINT NOT NULL, hash TEXT NOT NULL);
CREATE TABLE blob (digest TEXT PRIMARY KEY, packed BYTEA NOT NULL);
CREATE FUNCTION history_stays() RETURNS trigger LANGUAGE plpgsql AS
  $$ BEGIN RAISE EXCEPTION 'history is never changed'; END $$;
CREATE TRIGGER history_is_fixed BEFORE UPDATE OR DELETE OR TRUNCATE ON history
  FOR EACH STATEMENT EXECUTE FUNCTION history_stays();
)",
                                     R"(
CREATE TABLE note (kind TEXT NOT NULL, key TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (kind, key));
)"};
constexpr int kVersion = static_cast<int>(std::size(kVersions));
constexpr const char* kColumns = "number, at_utc, by_whom, job, record, before, hash";
// One writer at a time over the whole history; the number is ours, and means nothing else.
constexpr const char* kOneWriter = "SELECT pg_advisory_xact_lock(7239185)";

Digest digest_in(const pqxx::field& field) { return digest_from_hex(field.as<std::string>()).value_or(Digest{}); }

Row row_in(const pqxx::row& row) {
    return {.number = row[0].as<std::uint64_t>(),
            .at_utc = row[1].as<std::string>(),
            .by = row[2].as<std::string>(),
            .job = row[3].as<std::string>(),
            .record = row[4].as<std::string>(),
            .before = digest_in(row[5]),
            .hash = digest_in(row[6])};
}

class ServerStore final : public Store {
public:
    explicit ServerStore(std::string connection) : address_(std::move(connection)) { connect(); }

    int version() const { return version_; }

    Result<Row> append(Row row, std::optional<Seen> seen) override {
        std::optional<Row> written;
        auto result = guarded([&]() -> Result<Row> {
            if (written && stands(*written)) return *written;  // the answer was lost, the entry was not
            pqxx::work work(*connection_);
            work.exec(kOneWriter);
            if (seen) {
                const auto last = last_of(work, row.job);
                if ((last ? last->number : 0) != seen->of_job) return moved_on(last.value_or(Row{.job = row.job}));
            }
            const Row head = remembered(work);
            row.number = head.number + 1;
            row.before = head.hash;
            row.hash = hash_of(row);
            insert(work, row);
            written = row;
            work.commit();
            return row;
        });
        return result;
    }

    Result<std::vector<Row>> rows(std::uint64_t from) override {
        return guarded([&]() -> Result<std::vector<Row>> {
            pqxx::read_transaction work(*connection_);
            std::vector<Row> rows;
            for (const auto& row : work.exec_params(
                     fmt::format("SELECT {} FROM history WHERE number >= $1 ORDER BY number", kColumns), from))
                rows.push_back(row_in(row));
            return rows;
        });
    }

    Result<Row> head() override {
        return guarded([&]() -> Result<Row> {
            pqxx::read_transaction work(*connection_);
            return remembered(work);
        });
    }

    Result<Digest> keep(std::string_view bytes) override {
        const Digest digest = sha256({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
        const std::string packed = pack(bytes);
        return guarded([&]() -> Result<Digest> {
            pqxx::work work(*connection_);
            work.exec_params("INSERT INTO blob VALUES ($1, $2) ON CONFLICT DO NOTHING", to_hex(digest),
                             pqxx::binarystring(packed));
            work.commit();
            return digest;
        });
    }

    Result<std::string> fetch(const Digest& digest) override {
        return guarded([&]() -> Result<std::string> {
            pqxx::read_transaction work(*connection_);
            const auto found = work.exec_params("SELECT packed FROM blob WHERE digest = $1", to_hex(digest));
            if (found.empty()) return fail(Fault::not_found, fmt::format("the book does not keep {}", to_hex(digest)));
            return unpack(pqxx::binarystring(found[0][0]).str(), digest);
        });
    }

    Result<std::vector<Digest>> kept() override {
        return guarded([&]() -> Result<std::vector<Digest>> {
            pqxx::read_transaction work(*connection_);
            std::vector<Digest> digests;
            for (const auto& row : work.exec("SELECT digest FROM blob ORDER BY digest"))
                digests.push_back(digest_in(row[0]));
            return digests;
        });
    }

    Result<void> put_note(std::string_view kind, std::string_view key, std::string_view text) override {
        return guarded([&]() -> Result<void> {
            write("INSERT INTO note VALUES ($1, $2, $3) ON CONFLICT (kind, key) DO UPDATE SET text = $3",
                  std::string(kind), std::string(key), std::string(text));
            return {};
        });
    }

    Result<bool> add_note(std::string_view kind, std::string_view key, std::string_view text) override {
        return guarded([&]() -> Result<bool> {
            return write("INSERT INTO note VALUES ($1, $2, $3) ON CONFLICT DO NOTHING", std::string(kind),
                         std::string(key), std::string(text)) > 0;
        });
    }

    Result<std::optional<std::string>> note(std::string_view kind, std::string_view key) override {
        return guarded([&]() -> Result<std::optional<std::string>> {
            pqxx::read_transaction work(*connection_);
            const auto found = work.exec_params("SELECT text FROM note WHERE kind = $1 AND key = $2", std::string(kind),
                                                std::string(key));
            if (found.empty()) return std::nullopt;
            return found[0][0].as<std::string>();
        });
    }

    Result<void> remove_note(std::string_view kind, std::string_view key) override {
        return guarded([&]() -> Result<void> {
            write("DELETE FROM note WHERE kind = $1 AND key = $2", std::string(kind), std::string(key));
            return {};
        });
    }

    Result<std::vector<Note>> notes(std::string_view kind) override {
        return guarded([&]() -> Result<std::vector<Note>> {
            pqxx::read_transaction work(*connection_);
            std::vector<Note> notes;
            for (const auto& row : work.exec_params(
                     "SELECT key, text FROM note WHERE kind = $1 ORDER BY key COLLATE \"C\"", std::string(kind)))
                notes.push_back({row[0].as<std::string>(), row[1].as<std::string>()});
            return notes;
        });
    }

    Result<std::string> damage() override { return std::string(); }  // the server minds its own files

private:
    void connect() {
        connection_ = std::make_unique<pqxx::connection>(address_);
        pqxx::work work(*connection_);
        work.exec("SET client_min_messages = warning");
        work.exec(kOneWriter);  // two programs that make the tables at once would trip over each other
        work.exec("CREATE TABLE IF NOT EXISTS revwright_version (version INTEGER PRIMARY KEY)");
        version_ = work.exec1("SELECT coalesce(max(version), 0) FROM revwright_version")[0].as<int>();
        for (; version_ < kVersion; ++version_) {
            work.exec(kVersions[version_]);
            work.exec(fmt::format("INSERT INTO revwright_version VALUES ({})", version_ + 1));
        }
        work.commit();
    }

    /// Errors of the database as ours. A connection that broke is made once more, and the work done again.
    template <class Work>
    auto guarded(const Work& work) -> decltype(work()) {
        for (const bool last_try : {false, true}) {
            try {
                if (!connection_) connect();
                return work();
            } catch (const pqxx::sql_error& error) {
                return fail(Fault::io, fmt::format("the book's database says: {}", error.what()));
            } catch (const pqxx::failure& error) {  // broken connections, and commits nobody knows the end of
                connection_.reset();
                if (last_try) return gone(error.what());
            } catch (const std::exception& error) {
                return fail(Fault::io, fmt::format("the book's database says: {}", error.what()));
            }
        }
        return gone("no connection");
    }

    /// How many rows it changed.
    template <class... Values>
    std::size_t write(const char* statement, const Values&... values) {
        pqxx::work work(*connection_);
        const std::size_t changed = static_cast<std::size_t>(work.exec_params(statement, values...).affected_rows());
        work.commit();
        return changed;
    }

    static tl::unexpected<Error> gone(const std::string& why) {
        return fail(Fault::io, fmt::format("the book's database cannot be reached: {}", why));
    }

    bool stands(const Row& row) {
        pqxx::read_transaction work(*connection_);
        return !work.exec_params("SELECT 1 FROM history WHERE number = $1 AND hash = $2", row.number, to_hex(row.hash))
                    .empty();
    }

    static std::optional<Row> last_of(pqxx::transaction_base& work, const std::string& job) {
        const auto found = work.exec_params(
            fmt::format("SELECT {} FROM history WHERE job = $1 ORDER BY number DESC LIMIT 1", kColumns), job);
        if (found.empty()) return std::nullopt;
        return row_in(found[0]);
    }

    static Row remembered(pqxx::transaction_base& work) {
        const auto found = work.exec("SELECT number, hash FROM head");
        if (found.empty()) return {};
        return {.number = found[0][0].as<std::uint64_t>(), .hash = digest_in(found[0][1])};
    }

    static void insert(pqxx::transaction_base& work, const Row& row) {
        work.exec_params(fmt::format("INSERT INTO history ({}) VALUES ($1, $2, $3, $4, $5, $6, $7)", kColumns),
                         row.number, row.at_utc, row.by, row.job, row.record, to_hex(row.before), to_hex(row.hash));
        work.exec_params("INSERT INTO head VALUES (1, $1, $2) ON CONFLICT (one) DO UPDATE SET number = $1, hash = $2",
                         row.number, to_hex(row.hash));
    }

    std::string address_;
    std::unique_ptr<pqxx::connection> connection_;
    int version_ = 0;
};

}  // namespace

Result<std::unique_ptr<Store>> open_server(const std::string& connection) {
    try {
        auto store = std::make_unique<ServerStore>(connection);
        if (store->version() != kVersion)
            return refuse(
                fmt::format("expected a book of version {} or older, found one of version {}: a newer program wrote it",
                            kVersion, store->version()));
        return store;
    } catch (const std::exception& error) {
        return fail(Fault::io, fmt::format("the book's database cannot be reached: {}", error.what()));
    }
}

}  // namespace revwright::book
