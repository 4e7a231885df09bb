#include <SQLiteCpp/SQLiteCpp.h>
#include <algorithm>
#include <csignal>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <random>
#include <sys/resource.h>

#include "any_book.h"

namespace revwright::book {
namespace {

namespace fs = std::filesystem;

class FolderBook : public AnyBook {
protected:
    fs::path database() const { return folder_ / "book.sqlite"; }
    void change(const std::string& statements) const {
        SQLite::Database(database().string(), SQLite::OPEN_READWRITE).exec(statements);
    }
    std::vector<std::string> faults() const { return open().verify().value().faults; }
};
INSTANTIATE_TEST_SUITE_P(Over, FolderBook, testing::Values("folder"), name_of);

constexpr const char* kUnlocked = "DROP TRIGGER history_is_fixed; DROP TRIGGER history_is_kept;";

TEST_P(FolderBook, TheDatabaseItselfRefusesToChangeHistory) {
    Book book = open();
    add_job(book);
    EXPECT_THROW(change("UPDATE history SET by_whom = 'somebody'"), SQLite::Exception);
    EXPECT_THROW(change("DELETE FROM history"), SQLite::Exception);
}

TEST_P(FolderBook, AnEntryAlteredOrRemovedIsFound) {
    Book book = open();
    for (const char* id : {"K-1", "K-2", "K-3"}) add_job(book, id);
    change(kUnlocked);
    change("UPDATE history SET at_utc = '2026-03-15T09:30:00Z' WHERE number = 2");
    EXPECT_EQ(faults(), std::vector<std::string>{"entry 2 was altered after it was written"});
    change("UPDATE history SET at_utc = '2026-03-14T09:30:00Z' WHERE number = 2");
    EXPECT_TRUE(faults().empty());
    change("DELETE FROM history WHERE number = 3");
    EXPECT_EQ(faults(),
              std::vector<std::string>{"the history ends with entry 2, the book remembers entry 3 as its last"});
    change("DELETE FROM history WHERE number = 1");
    EXPECT_EQ(faults().front(), "entry 1 is missing: entry 2 follows what comes before it");
}

TEST_P(FolderBook, AMissingFileIsNamed) {
    Book book = open();
    add_job(book);
    const std::string name = to_hex(file_named("standard.bin").digest);
    fs::remove(folder_ / "blobs" / name.substr(0, 2) / name.substr(2));
    EXPECT_EQ(faults(), std::vector<std::string>{fmt::format("standard.bin of entry 1 is missing ({})", name)});
}

std::string bytes_of(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

/// What a reader of the book gets: everything, or that it cannot be had.
std::string all_of(const std::string& where) {
    auto book = Book::open(where);
    if (!book) return "refused";
    const auto history = book->history();
    if (!history) return "refused";
    std::string all;
    for (const BookEntry& entry : *history) {
        all += to_hex(entry.hash) + entry.draft.at_utc + entry.draft.by + entry.draft.job;
        for (const KeptFile& file : files_of(entry.draft.what))
            all += file.name + book->fetch(file.digest).value_or("refused");
    }
    return all;
}

TEST_P(FolderBook, NoAlteredByteGoesUnnoticed) {
    {
        Book book = open();
        add_job(book, "K-1");
        add_job(book, "K-2");
        change("PRAGMA wal_checkpoint(TRUNCATE)");
    }
    const std::string before = all_of(where_);
    std::vector<fs::path> files;
    for (const auto& file : fs::recursive_directory_iterator(folder_))
        if (file.is_regular_file() && file.file_size() > 0) files.push_back(file.path());
    ASSERT_GE(files.size(), 4u);  // the database and three files
    std::mt19937 random(1);
    for (int trial = 0; trial < 300; ++trial) {
        const fs::path& path = files[random() % files.size()];
        const std::string whole = bytes_of(path);
        std::string altered = whole;
        const std::size_t at = random() % whole.size();
        altered[at] = static_cast<char>(altered[at] ^ (1 << random() % 8));
        std::ofstream(path, std::ios::binary) << altered;
        // A database has bytes that mean nothing. Whatever a byte means, either it is noticed or nothing has changed.
        auto book = Book::open(where_);
        const auto check = book ? book->verify() : Result<BookCheck>(tl::unexpected(book.error()));
        const bool noticed = !check || !check->faults.empty();
        EXPECT_TRUE(noticed || all_of(where_) == before) << path << " byte " << at;
        EXPECT_TRUE(noticed || path == database()) << path << " byte " << at;
        fs::remove(folder_ / "book.sqlite-wal");
        fs::remove(folder_ / "book.sqlite-shm");
        std::ofstream(path, std::ios::binary) << whole;
    }
    EXPECT_EQ(all_of(where_), before);
}

TEST_P(FolderBook, ABookOfAnOlderVersionBecomesOneOfThis) {
    {
        Book book = open();
        add_job(book);
    }
    change("DROP TABLE note; PRAGMA user_version = 1");  // as version 1 had it
    Book book = open();
    EXPECT_EQ(book.history()->size(), 1u);
    EXPECT_TRUE(book.notes().add_note("account", "Ilse", "one").value());
    EXPECT_TRUE(open().verify()->faults.empty());
}

TEST_P(FolderBook, WhatIsNoBookIsRefused) {
    fs::create_directories(folder_);
    std::ofstream(database()) << "this is a diary";
    const auto diary = Book::open(where_);
    ASSERT_FALSE(diary);
    EXPECT_EQ(diary.error().fault, Fault::bad_input);
    EXPECT_NE(diary.error().what.find("expected a book, found a file that the database does not open"),
              std::string::npos);
    EXPECT_EQ(bytes_of(database()), "this is a diary");
    fs::remove(database());
    open();
    change("PRAGMA user_version = 7");
    const auto newer = Book::open(where_);
    ASSERT_FALSE(newer);
    EXPECT_EQ(newer.error().what,
              "expected a book of version 2 or older, found one of version 7: a newer program wrote it");
    EXPECT_FALSE(Book::open("/dev/null/book"));
}

TEST_P(FolderBook, AFullDiskLosesNothingAndLeavesNothingHalfWritten) {
    Book book = open();
    add_job(book);
    // No file may grow beyond 64 KiB: what the disk says then it says when it is full.
    rlimit usual = {};
    ASSERT_EQ(getrlimit(RLIMIT_FSIZE, &usual), 0);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{64 << 10, usual.rlim_max};
    ASSERT_EQ(setrlimit(RLIMIT_FSIZE, &small), 0);
    std::string noise(1 << 20, '\0');
    std::mt19937 random(2);
    std::ranges::generate(noise, [&] { return static_cast<char>(random()); });
    const auto kept = book.keep("big.csv", noise);
    int recorded = 0;
    for (int i = 0; i < 200; ++i) {
        if (!book.record(drafted(RevisionReleased{file_named("standard.bin").digest}))) break;
        ++recorded;
    }
    setrlimit(RLIMIT_FSIZE, &usual);
    std::signal(SIGXFSZ, handler);
    ASSERT_FALSE(kept);
    EXPECT_EQ(kept.error().fault, Fault::io);
    EXPECT_LT(recorded, 200);
    EXPECT_TRUE(fs::is_empty(folder_ / "blobs" / "incoming"));
    EXPECT_TRUE(faults().empty());
    EXPECT_EQ(open().history()->size(), 1u + static_cast<std::size_t>(recorded));
    EXPECT_TRUE(book.record(drafted(RevisionReleased{file_named("standard.bin").digest})));  // room again
}

}  // namespace
}  // namespace revwright::book
