#include "book/book.h"

#include <algorithm>
#include <pqxx/pqxx>
#include <thread>

#include "any_book.h"
#include "book/job_story.h"

namespace revwright::book {
namespace {

INSTANTIATE_TEST_SUITE_P(Over, AnyBook, testing::Values("folder", "server"), name_of);

TEST_P(AnyBook, KeepsWhatHappenedInOrderEachTiedToTheOneBefore) {
    {
        Book book = open();
        add_job(book);
        const KeptFile log = book.keep("run-0.csv", "time_s\n0\n").value();
        ASSERT_TRUE(book.record(drafted(RunAdded{.log = log, .image = file_named("standard.bin").digest}, "Bo Ek")));
    }
    Book again = open();  // another day
    const auto history = again.history();
    ASSERT_TRUE(history) << history.error().what;
    ASSERT_EQ(history->size(), 2u);
    EXPECT_EQ((*history)[0].number, 1u);
    EXPECT_EQ((*history)[0].before, Digest{});
    EXPECT_EQ((*history)[1].before, (*history)[0].hash);
    EXPECT_EQ((*history)[1].draft.by, "Bo Ek");
    EXPECT_EQ(again.fetch(std::get<RunAdded>((*history)[1].draft.what).log.digest), "time_s\n0\n");
    const auto check = again.verify();
    ASSERT_TRUE(check);
    EXPECT_EQ(check->entries, 2u);
    EXPECT_EQ(check->files, 4u);
    EXPECT_TRUE(check->faults.empty()) << check->faults.front();
}

TEST_P(AnyBook, OfTwoWhoDecideAtOnceOneIsToldThatTheOtherWasFirst) {
    Book one = open(), other = open();
    const BookEntry job = add_job(one);
    add_job(one, "another job");  // is nobody's business here
    const Seen both{job.number};
    const RevisionReleased release{file_named("standard.bin").digest};
    ASSERT_TRUE(one.record(drafted(release, "Ilse Arnd"), both));
    const auto late = other.record(drafted(release, "Jon Vik"), both);
    ASSERT_FALSE(late);
    EXPECT_EQ(late.error().fault, Fault::conflict);
    EXPECT_EQ(late.error().what,
              "job K-104 has moved on: entry 3 by Ilse Arnd at 2026-03-14T09:30:00Z came first; look at it again");
    EXPECT_EQ(other.history()->size(), 3u);
}

TEST_P(AnyBook, ManyWritersAtOnceLeaveOneHistory) {
    constexpr int kWriters = 6, kEach = 15;
    add_job(*std::make_unique<Book>(open()));
    std::atomic<int> failed = 0;
    std::vector<std::thread> writers;
    for (int w = 0; w < kWriters; ++w)
        writers.emplace_back([&] {
            Book book = open();
            for (int i = 0; i < kEach; ++i)
                if (!book.record(drafted(RevisionReleased{file_named("standard.bin").digest}))) ++failed;
        });
    for (std::thread& writer : writers) writer.join();
    EXPECT_EQ(failed, 0);
    Book book = open();
    EXPECT_EQ(book.history()->size(), 1u + kWriters * kEach);
    EXPECT_TRUE(book.verify()->faults.empty());
}

TEST_P(AnyBook, TheSameBytesAreKeptOnceAndUnknownOnesAreNotFound) {
    Book book = open();
    const std::string bytes(300'000, '\xfe');
    EXPECT_EQ(book.keep("a", bytes)->digest, book.keep("b", bytes)->digest);
    EXPECT_EQ(book.verify()->files, 1u);
    EXPECT_EQ(book.fetch(sha256(std::vector<std::uint8_t>(bytes.begin(), bytes.end()))), bytes);
    const auto none = book.fetch(Digest{});
    ASSERT_FALSE(none);
    EXPECT_EQ(none.error().fault, Fault::not_found);
}

TEST_P(AnyBook, NotesMayChangeAndGo) {
    Book book = open();
    Store& notes = book.notes();
    EXPECT_EQ(notes.note("account", "Ilse").value(), std::nullopt);
    EXPECT_TRUE(notes.add_note("account", "Ilse", "one").value());
    EXPECT_FALSE(notes.add_note("account", "Ilse", "other").value());
    EXPECT_EQ(notes.note("account", "Ilse").value(), "one");
    ASSERT_TRUE(notes.put_note("account", "Ilse", "two \xc3\xa9"));
    ASSERT_TRUE(notes.put_note("account", "Bo", "three"));
    ASSERT_TRUE(notes.put_note("session", "Ilse", "four"));
    const auto accounts = notes.notes("account").value();
    ASSERT_EQ(accounts.size(), 2u);
    EXPECT_EQ(accounts[0].key, "Bo");
    EXPECT_EQ(accounts[1].text, "two \xc3\xa9");
    ASSERT_TRUE(notes.remove_note("account", "Ilse"));
    EXPECT_EQ(notes.note("account", "Ilse").value(), std::nullopt);
    EXPECT_EQ(book.last_entry().value(), 0u);
    EXPECT_TRUE(book.verify()->faults.empty());
}

class ServerBook : public AnyBook {};
INSTANTIATE_TEST_SUITE_P(Over, ServerBook, testing::Values("server"), name_of);

TEST_P(ServerBook, ADatabaseThatGoesAwayAndComesBackLosesNothing) {
    Book book = open();
    add_job(book);
    server().stop();
    const auto away = book.record(drafted(RevisionReleased{file_named("standard.bin").digest}));
    ASSERT_FALSE(away);
    EXPECT_EQ(away.error().fault, Fault::io);
    EXPECT_NE(away.error().what.find("cannot be reached"), std::string::npos) << away.error().what;
    ASSERT_TRUE(server().start());
    EXPECT_TRUE(book.record(drafted(RevisionReleased{file_named("standard.bin").digest})));  // the same object
    EXPECT_EQ(book.history()->size(), 2u);
    EXPECT_TRUE(book.verify()->faults.empty());
}

TEST_P(ServerBook, AlteredRowsAndBytesAreFound) {
    Book book = open();
    add_job(book);
    pqxx::connection connection(where_);
    const auto change = [&](const std::string& statement) {
        pqxx::work work(connection);
        work.exec(statement);
        work.commit();
    };
    EXPECT_THROW(change("UPDATE history SET by_whom = 'somebody'"), pqxx::sql_error);
    EXPECT_THROW(change("DELETE FROM history"), pqxx::sql_error);
    change("ALTER TABLE history DISABLE TRIGGER USER; UPDATE history SET by_whom = 'somebody'");
    EXPECT_EQ(book.verify()->faults, std::vector<std::string>{"entry 1 was altered after it was written"});
    EXPECT_FALSE(book.history());
    change("UPDATE history SET by_whom = 'Ilse Arnd'");
    EXPECT_TRUE(book.verify()->faults.empty());
    change("UPDATE blob SET packed = set_byte(packed, 40, (get_byte(packed, 40) + 1) % 256)");
    EXPECT_EQ(book.verify()->faults.size(), 3u);
}

TEST(Server, ThatIsNotThereIsNamedAsSuch) {
    const auto book = Book::open("postgresql://nobody@/none?host=/nowhere");
    ASSERT_FALSE(book);
    EXPECT_EQ(book.error().fault, Fault::io);
    EXPECT_NE(book.error().what.find("cannot be reached"), std::string::npos);
}

}  // namespace
}  // namespace revwright::book
