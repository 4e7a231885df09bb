#include <chrono>
#include <csignal>
#include <cstdlib>
#include <random>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

#include "any_book.h"

namespace revwright::book {
namespace {

class CrashingBook : public AnyBook {};
INSTANTIATE_TEST_SUITE_P(Over, CrashingBook, testing::Values("folder", "server"), name_of);

/// How often: 50 in a test run; REVWRIGHT_CRASHES says otherwise.
int crashes() {
    const char* told = std::getenv("REVWRIGHT_CRASHES");
    return told ? std::atoi(told) : 50;
}

/// Writes entries with a file each until it is killed, and says the number of each once the book has acknowledged it.
[[noreturn]] void write_until_killed(const std::string& where, int told, unsigned seed) {
    auto book = Book::open(where);
    std::mt19937 random(seed);
    for (std::uint64_t i = 0; book; ++i) {
        std::string bytes(random() % 200'000, '\0');
        for (char& byte : bytes) byte = static_cast<char>(random());
        const auto log = book->keep("run.csv", bytes);
        if (!log) break;
        const auto entry = book->record(drafted(RunAdded{.log = *log, .image = file_named("standard.bin").digest}));
        if (!entry || ::write(told, &entry->number, sizeof entry->number) != sizeof entry->number) break;
    }
    ::_exit(1);
}

TEST_P(CrashingBook, WhatWasAcknowledgedIsThereAndNothingIsHalfWritten) {
    {
        Book book = open();
        add_job(book);
    }
    std::mt19937 random(3);
    std::uint64_t acknowledged = 1;
    for (int crash = 0; crash < crashes(); ++crash) {
        int ends[2] = {};
        ASSERT_EQ(::pipe(ends), 0);
        const pid_t child = ::fork();
        ASSERT_GE(child, 0);
        if (child == 0) write_until_killed(where_, ends[1], static_cast<unsigned>(crash));
        ::close(ends[1]);
        // Every other time it has written something first: on a slow machine it would hardly get to.
        std::uint64_t first = 0;
        if (crash % 2 == 1 && ::read(ends[0], &first, sizeof first) == sizeof first) acknowledged = first;
        std::this_thread::sleep_for(std::chrono::microseconds(random() % 60'000));
        ::kill(child, SIGKILL);
        ::waitpid(child, nullptr, 0);
        for (std::uint64_t number = 0; ::read(ends[0], &number, sizeof number) == sizeof number;) acknowledged = number;
        ::close(ends[0]);
        Book book = open();
        const auto history = book.history();
        ASSERT_TRUE(history) << "crash " << crash << ": " << history.error().what;
        ASSERT_GE(history->size(), acknowledged) << "crash " << crash;
        ASSERT_LE(history->size(), acknowledged + 1) << "crash " << crash;  // written, the word of it lost
        acknowledged = history->size();
    }
    Book book = open();
    const auto check = book.verify();
    ASSERT_TRUE(check);
    EXPECT_TRUE(check->faults.empty()) << check->faults.front();
    EXPECT_GT(acknowledged, static_cast<std::uint64_t>(crashes()) / 2);
}

}  // namespace
}  // namespace revwright::book
