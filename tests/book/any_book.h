#pragma once

#include <filesystem>
#include <gtest/gtest.h>
#include <memory>
#include <string>

#include "book/book.h"
#include "book/job_story_test.h"
#include "postgres_server.h"

namespace revwright::book {

/// Runs every test over a folder and over a database server.
class AnyBook : public testing::TestWithParam<const char*> {
protected:
    static bool on_server() { return std::string(GetParam()) == "server"; }
    static PostgresServer& server() {
        static PostgresServer only;
        return only;
    }

    void SetUp() override {
        const std::string test = testing::UnitTest::GetInstance()->current_test_info()->name();
        if (on_server() && !PostgresServer::installed()) GTEST_SKIP() << "postgresql-15 is not installed";
        folder_ = std::filesystem::path(testing::TempDir()) / ("book_" + test.substr(0, test.find('/')));
        std::filesystem::remove_all(folder_);
        where_ = on_server() ? server().database("shop") : folder_.string();
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    Book open() const {
        auto book = Book::open(where_);
        if (!book) throw std::runtime_error(book.error().what);
        return *std::move(book);
    }
    /// A job with files that are kept, as an honest caller adds one.
    static BookEntry add_job(Book& book, const std::string& id = "K-104") {
        JobAdded job = a_job();
        for (KeptFile* file : {&job.sheet, &job.standard, &job.files.front()})
            *file = book.keep(file->name, file->name).value();
        return book.record(drafted(job, "Ilse Arnd", id)).value();
    }

    std::filesystem::path folder_;
    std::string where_;
};

inline std::string name_of(const testing::TestParamInfo<const char*>& info) { return info.param; }

}  // namespace revwright::book
