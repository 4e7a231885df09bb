#include <gtest/gtest.h>

#include "formats/csv/read_test.h"

// Each of these took minutes, or gigabytes, with a reader that looks twice at what it has seen. The sizes are such that
// a square of them would be noticed by anyone who runs the tests.
namespace revwright::csv {
namespace {

TEST(CsvHostile, RefusesAMillionColumns) {
    std::string header = "time_s", row = "0";
    for (int i = 0; i < 1'000'000; ++i) header += ",a", row += ",1";
    EXPECT_EQ(refusal_of(header + "\n" + row + "\n"),
              "run.csv:1: the header has 1000001 columns, at most 10000 are read");
}

TEST(CsvHostile, RefusesALineWithoutEnd) {
    const std::string endless(100'000'000, '1');
    EXPECT_EQ(refusal_of(endless), "run.csv:1: expected lines of at most 4194304 bytes, found one of 100000000");
    EXPECT_EQ(refusal_of("time_s,a\n0,1\n1,2\n" + endless),
              "run.csv:4: expected lines of at most 4194304 bytes, found one of 100000000");
}

std::string wide(int columns, int rows) {
    std::string text = "time_s", row;
    for (int i = 1; i < columns; ++i) text += ",a" + std::to_string(i), row += ",1";
    text += '\n';
    for (int i = 0; i < rows; ++i) text += std::to_string(i) + row + '\n';
    return text;
}

TEST(CsvHostile, ManyShortRowsUnderAWideHeaderStayCheap) {
    const std::string start = wide(5'000, 450);
    std::string blank = start, same = start, untimed = start;
    for (int i = 0; i < 300'000; ++i) blank += '\n', same += "449\n", untimed += ",1\n";
    EXPECT_EQ(log_of(blank).channels.size(), 4'999u);
    EXPECT_EQ(log_of(same).channels.size(), 4'999u);
    EXPECT_EQ(log_of(untimed).channels.size(), 4'999u);
}

TEST(CsvHostile, LongRowsOfTextStayCheap) {
    std::string text = wide(2'000, 450), row = "1000";
    for (int i = 1; i < 2'000; ++i) row += ",\"no number at all in this cell, nor in any other of its long row\"";
    for (int i = 0; i < 10; ++i) text += row + "\n";
    EXPECT_EQ(log_of(text).channels.size(), 1'999u);
}

TEST(CsvHostile, ManyClocksStayCheap) {
    std::string header, row;
    for (int i = 0; i < 1'000; ++i) header += "Time,a,", row += "N,1 bar,";
    std::string text = header + "\n";
    for (int i = 0; i < 60; ++i) {
        std::string line = row;
        for (std::size_t at = line.find('N'); at != std::string::npos; at = line.find('N', at))
            line.replace(at, 1, std::to_string(i));
        text += line + "\n";
    }
    const Log log = log_of(text);
    EXPECT_EQ(log.channels.size(), 1'000u);
    EXPECT_EQ(log.time_bases.size(), 1u);
}

}  // namespace
}  // namespace revwright::csv
