#include "app/files.h"

#include <gtest/gtest.h>

namespace revwright::app {
namespace {

namespace fs = std::filesystem;

struct Files : testing::Test {
    // A folder for each test: ctest runs them at the same time.
    fs::path folder = fs::path(testing::TempDir()) /
                      (std::string("revwright-") + testing::UnitTest::GetInstance()->current_test_info()->name());
    void SetUp() override { fs::create_directories(folder); }
    void TearDown() override { fs::remove_all(folder); }
};

TEST_F(Files, ReadBackWhatWasWritten) {
    ASSERT_TRUE(write_file(folder / "a", std::string_view("old")));
    ASSERT_TRUE(write_file(folder / "a", std::string_view("new\0text", 8)));
    EXPECT_EQ(read_text(folder / "a").value(), std::string("new\0text", 8));
    EXPECT_EQ(std::distance(fs::directory_iterator(folder), fs::directory_iterator{}), 1) << "nothing else is left";
}

TEST_F(Files, SayWhatIsWrongAndLeaveNothing) {
    EXPECT_EQ(read_text(folder / "none").error().fault, Fault::not_found);
    EXPECT_EQ(read_bytes(folder).error().what, "expected a file, found a folder");
    fs::create_directories(folder / "taken");
    EXPECT_EQ(write_file(folder / "taken", std::string_view("x")).error().fault, Fault::io);
    EXPECT_FALSE(write_file(folder / "no" / "such", std::string_view("x")));
    EXPECT_EQ(std::distance(fs::directory_iterator(folder), fs::directory_iterator{}), 1) << "only the folder `taken`";
}

}  // namespace
}  // namespace revwright::app
