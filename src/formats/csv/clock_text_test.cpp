#include "formats/csv/clock_text.h"

#include <gtest/gtest.h>

namespace revwright::csv {
namespace {

struct Row {
    const char* text;
    double seconds;
};

TEST(CsvClockText, ReadsEveryFormOfATime) {
    for (const Row& row : {Row{"12:34:56.789", 45296.789}, Row{"00:01:02,5", 62.5}, Row{"1:02.5", 62.5},
                           Row{"75:00.25", 4500.25}, Row{"0:07", 7.0}, Row{"12:34:56:250", 45296.25},
                           Row{"2026-03-01T10:00:00.25", 36000.25}, Row{"2026-03-01 10:00", 36000.0},
                           Row{"01.03.2026 10:00:00", 36000.0}, Row{"10:00:00 PM", 79200.0}, Row{"12:30:00 am", 1800.0},
                           Row{"2026-03-01T10:00:00Z", 36000.0}, Row{"2026-03-01T10:00:00+01:00", 36000.0}}) {
        const auto read = read_clock_text(row.text);
        ASSERT_TRUE(read) << row.text;
        EXPECT_NEAR(read->seconds, row.seconds, 1e-9) << row.text;
    }
}

TEST(CsvClockText, CountsTheDaysOfADate) {
    // 2000-03-01 is day 11,017 of the count that POSIX uses (IEEE Std 1003.1, 4.16: 951,868,800 s / 86,400 s).
    EXPECT_EQ(read_clock_text("2000-03-01T00:00:00")->day, 11017);
    EXPECT_EQ(read_clock_text("29.02.2000 23:59:59")->day, 11016);
    EXPECT_FALSE(read_clock_text("12:00:00")->day);
    EXPECT_FALSE(read_clock_text("03/01/2000 12:00:00")->day) << "day or month: not guessed";
}

TEST(CsvClockText, LeavesOtherTextAlone) {
    for (const char* text : {"", ":", "12", "12:3", "12:60:00", "a12:00:00", "12:00:00 o'clock", "2026-02-30 10:00:00",
                             "12:00:00.", "2026-03-01", "1:2:3", "12:00:00+1"})
        EXPECT_FALSE(read_clock_text(text)) << text;
}

TEST(CsvClockText, TellsADateWithoutATime) {
    for (const char* text : {"2026-03-01", "1.3.2026", "03/01/2026", " 01.03.26 "})
        EXPECT_TRUE(is_date_alone(text)) << text;
    for (const char* text : {"2026-03-01 10:00:00", "1.5", "12", "1.3", "2026-13-01", "1.2.345"})
        EXPECT_FALSE(is_date_alone(text)) << text;
}

}  // namespace
}  // namespace revwright::csv
