#include "app/mapped_file.h"

#include <gtest/gtest.h>
#include <string>
#include <sys/stat.h>
#include <thread>

#include "app/files.h"

namespace revwright::app {
namespace {

namespace fs = std::filesystem;

struct MappedFiles : testing::Test {
    // A folder for each test: ctest runs them at the same time.
    fs::path folder = fs::path(testing::TempDir()) / (std::string("revwright-mapped-") +
                                                      testing::UnitTest::GetInstance()->current_test_info()->name());
    void SetUp() override { fs::create_directories(folder); }
    void TearDown() override { fs::remove_all(folder); }

    fs::path written(const char* name, std::string_view text) {
        EXPECT_TRUE(write_file(folder / name, text));
        return folder / name;
    }
};

TEST_F(MappedFiles, HoldTheBytesOfTheFile) {
    const std::string text = "time_s,a\n0,1\n" + std::string(9000, '\0');
    auto file = MappedFile::open(written("a", text));
    ASSERT_TRUE(file) << describe(file.error());
    EXPECT_TRUE(file->is_mapped());
    EXPECT_EQ(file->text(), text);
    EXPECT_EQ(file->bytes().size(), text.size());
    EXPECT_TRUE(file->unchanged());
}

TEST_F(MappedFiles, KeepTheirBytesWhenTheyMove) {
    auto first = MappedFile::open(written("a", "first"));
    auto second = MappedFile::open(written("b", "second"));
    ASSERT_TRUE(first && second);
    MappedFile moved(*std::move(first));
    EXPECT_EQ(moved.text(), "first");
    moved = *std::move(second);
    EXPECT_EQ(moved.text(), "second");
    EXPECT_TRUE(moved.unchanged());
}

TEST_F(MappedFiles, AnEmptyFileIsAnEmptyText) {
    const auto file = MappedFile::open(written("empty", ""));
    ASSERT_TRUE(file);
    EXPECT_TRUE(file->bytes().empty());
    EXPECT_EQ(file->text(), "");
    EXPECT_TRUE(file->unchanged());
}

TEST_F(MappedFiles, WhatCannotBeReadIsTheSameErrorAsWhenReading) {
    for (const fs::path& path : {folder / "none", folder}) {
        const auto mapped = MappedFile::open(path);
        const auto read = read_bytes(path);
        ASSERT_FALSE(mapped);
        EXPECT_EQ(describe(mapped.error()), describe(read.error()));
        EXPECT_EQ(mapped.error().fault, read.error().fault);
    }
}

TEST_F(MappedFiles, APipeIsRead) {
    const fs::path pipe = folder / "pipe";
    ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
    std::thread writer([&] {
        std::FILE* out = std::fopen(pipe.c_str(), "wb");
        ASSERT_NE(out, nullptr);
        std::fputs("time_s,a\n0,1\n", out);
        std::fclose(out);
    });
    const auto file = MappedFile::open(pipe);
    writer.join();
    ASSERT_TRUE(file) << describe(file.error());
    EXPECT_FALSE(file->is_mapped());
    EXPECT_EQ(file->text(), "time_s,a\n0,1\n");
}

TEST_F(MappedFiles, TellThatTheFileWasShortenedOrWrittenTo) {
    const fs::path path = written("a", "time_s,a\n0,1\n");
    const auto file = MappedFile::open(path);
    ASSERT_TRUE(file);
    fs::resize_file(path, 4);
    EXPECT_EQ(describe(file->unchanged().error()),
              path.string() +
                  ": expected a file that stays as it is while it is read, found its length changed from 13 "
                  "to 4 bytes");
    const auto other = MappedFile::open(written("b", "time_s,a\n0,1\n"));
    ASSERT_TRUE(other);
    fs::last_write_time(folder / "b", fs::file_time_type::clock::now() + std::chrono::seconds(5));
    EXPECT_EQ(other->unchanged().error().fault, Fault::conflict);
}

TEST_F(MappedFiles, AFileReplacedMeanwhileStaysAsItWas) {
    const auto file = MappedFile::open(written("a", "before"));
    ASSERT_TRUE(file);
    written("a", "after it");
    EXPECT_EQ(file->text(), "before");
    EXPECT_TRUE(file->unchanged());
}

}  // namespace
}  // namespace revwright::app
