#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <string>
#include <vector>

#include "formats/csv/read_test.h"

namespace revwright {
namespace {

using Values = std::vector<double>;
const double kBlank = std::numeric_limits<double>::quiet_NaN();

using csv::log_of, csv::refusal_of;

/// Equal, with NaN equal to NaN.
void expect_values(const Values& found, const Values& wanted) {
    ASSERT_EQ(found.size(), wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        if (std::isnan(wanted[i]))
            EXPECT_TRUE(std::isnan(found[i])) << i;
        else
            EXPECT_EQ(found[i], wanted[i]) << i;
    }
}

/// Two channels, speed and lambda, at 0, 0.1 and 0.2 s: what most of the texts below hold.
void expect_the_usual(const Log& log, const std::string& speed_unit = "") {
    ASSERT_EQ(log.channels.size(), 2u);
    EXPECT_EQ(log.channels[0].name, "speed");
    EXPECT_EQ(log.channels[0].unit_in_log, speed_unit);
    EXPECT_EQ(log.channels[1].name, "lambda");
    expect_values(log.time_bases.at(0).seconds, {0.0, 0.1, 0.2});
    expect_values(log.channels[0].values, {1000.0, 1100.5, 1200.0});
    expect_values(log.channels[1].values, {1.0, 0.95, 0.9});
    EXPECT_TRUE(log.quality.empty());
    EXPECT_TRUE(log.lost.empty());
}

TEST(CsvReader, ReadsEveryDelimiterAndDecimalMark) {
    expect_the_usual(log_of("time_s,speed,lambda\n0.0,1000,1\n0.1,1100.5,0.95\n0.2,1200,0.9\n"));
    expect_the_usual(log_of("time_s;speed;lambda\n0.0;1000;1\n0.1;1100.5;0.95\n0.2;1200;0.9\n"));
    expect_the_usual(log_of("time_s\tspeed\tlambda\n0.0\t1000\t1\n0.1\t1100.5\t0.95\n0.2\t1200\t0.9\n"));
    expect_the_usual(log_of("time_s;speed;lambda\n0,0;1000;1\n0,1;1100,5;0,95\n0,2;1200;0,9\n"));
    expect_the_usual(log_of("time_s\tspeed\tlambda\n0,0\t1000\t1\n0,1\t1100,5\t0,95\n0,2\t1200\t0,9\n"));
}

TEST(CsvReader, FindsTheDecimalCommaBehindAStretchOfWholeNumbers) {
    std::string text = "Zeit;speed\n";
    for (int i = 0; i < 500; ++i) text += std::to_string(i) + ";800\n";
    const Log log = log_of(text + "500;812,5\n");
    EXPECT_EQ(log.channels.at(0).values.back(), 812.5);
}

TEST(CsvReader, TakesByteOrderMarkCarriageReturnsBlanksAndNoFinalLineEnd) {
    expect_the_usual(
        log_of("\xEF\xBB\xBFtime_s, speed , lambda\r\n0.0, 1000 ,1\r\n\r\n0.1, 1100.5,0.95 \r\n0.2,1200,0.9"));
}

TEST(CsvReader, TakesADelimiterAtTheEndOfRowsOrHeader) {
    expect_the_usual(log_of("time_s,speed,lambda\n0.0,1000,1,\n0.1,1100.5,0.95,\n0.2,1200,0.9,\n"));
    expect_the_usual(log_of("time_s,speed,lambda,\n0.0,1000,1\n0.1,1100.5,0.95\n0.2,1200,0.9\n"));
    expect_the_usual(log_of("time_s,speed,lambda,\n0.0,1000,1, \n0.1,1100.5,0.95,\n0.2,1200,0.9,\n"));
}

TEST(CsvReader, PassesOverThePreamble) {
    expect_the_usual(
        log_of("Logger 12, third drive\nRate,20\nDate,2031-05-02,14:00\n\n"
               "time_s,speed,lambda\n0.0,1000,1\n0.1,1100.5,0.95\n0.2,1200,0.9\n"));
}

TEST(CsvReader, ReadsUnitsInBracketsOrInARowOfTheirOwn) {
    expect_the_usual(log_of("Time [ms],speed [1/min],lambda\n0,1000,1\n100,1100.5,0.95\n200,1200,0.9\n"), "1/min");
    expect_the_usual(log_of("Time (ms),speed (rpm),lambda (-)\n0,1000,1\n100,1100.5,0.95\n200,1200,0.9\n"), "rpm");
    expect_the_usual(log_of("Zeit;speed;lambda\nms;U/min;-\n0;1000;1\n100;1100,5;0,95\n200;1200;0,9\n"), "U/min");
    expect_the_usual(log_of("Zeit;speed;lambda\n[s];[U/min];[-]\n0;1000;1\n0,1;1100,5;0,95\n0,2;1200;0,9\n"), "U/min");
    expect_the_usual(log_of("time_ms,speed,lambda\n0,1000,1\n100,1100.5,0.95\n200,1200,0.9\n"));
    EXPECT_EQ(log_of("t [min],speed\n0,1\n0.5,2\n").time_bases[0].seconds.back(), 30.0);
}

TEST(CsvReader, BracketsThatHoldNoUnitBelongToTheName) {
    const Log log = log_of("time_s,Lambda (bank 1),retard[2],boost [bar gauge],odd [furlong],x [],\n0,1,2,3,4,5\n");
    ASSERT_EQ(log.channels.size(), 5u);
    EXPECT_EQ(log.channels[0].name, "Lambda (bank 1)");
    EXPECT_EQ(log.channels[1].name, "retard[2]");
    EXPECT_EQ(log.channels[2].name, "boost");
    EXPECT_EQ(log.channels[2].unit, "bar gauge");
    EXPECT_EQ(log.channels[3].unit, "furlong");
    EXPECT_EQ(log.channels[4].name, "x");
    EXPECT_EQ(log.channels[4].unit, "");
}

TEST(CsvReader, TurnsLatin1IntoUtf8) {
    const Log latin = log_of(
        "time_s;\xD6ltemperatur [\xB0"
        "C]\n0;90\n1;91\n");
    const Log utf8 = log_of(
        "time_s;\xC3\x96ltemperatur [\xC2\xB0"
        "C]\n0;90\n1;91\n");
    EXPECT_EQ(latin.channels.at(0).name, "\xC3\x96ltemperatur");
    EXPECT_EQ(latin.channels[0].unit,
              "\xC2\xB0"
              "C");
    EXPECT_EQ(utf8.channels.at(0).name, latin.channels[0].name);
    EXPECT_EQ(utf8.channels[0].unit, latin.channels[0].unit);
}

TEST(CsvReader, ReadsQuotedCells) {
    const Log log = log_of("\"time_s\",\"boost, \"\"actual\"\"\",\"speed\"\n\"0\",\"1.5\",10\n\"1\", \"2.5\" ,20\n");
    ASSERT_EQ(log.channels.size(), 2u);
    EXPECT_EQ(log.channels[0].name, "boost, \"actual\"");
    expect_values(log.channels[0].values, {1.5, 2.5});
    expect_values(log.channels[1].values, {10.0, 20.0});
}

TEST(CsvReader, ASlowChannelGetsATimeBaseOfItsOwn) {
    const Log log = log_of("time_s,speed,oil,coolant,late\n0,1,90,80,\n1,2,,,\n2,3,,,5\n3,4,91,81,6\n4,5,,,7\n");
    ASSERT_EQ(log.channels.size(), 4u);
    ASSERT_EQ(log.time_bases.size(), 2u);
    EXPECT_EQ(log.channels[1].time_base, 1u);
    EXPECT_EQ(log.channels[2].time_base, 1u) << "sampled in the same rows";
    EXPECT_EQ(log.channels[3].time_base, 0u) << "blank in less than half of the rows";
    expect_values(log.time_bases[1].seconds, {0.0, 3.0});
    expect_values(log.channels[1].values, {90.0, 91.0});
    expect_values(log.channels[2].values, {80.0, 81.0});
    expect_values(log.channels[3].values, {kBlank, kBlank, 5.0, 6.0, 7.0});
}

TEST(CsvReader, LeavesOutRowsWhoseTimeDoesNotRise) {
    const Log log = log_of("time_s,speed\n0,1\n1,2\n1,3\n2,4\n0.5,5\n0.6,6\n3,7\n3,8\n");
    expect_values(log.time_bases[0].seconds, {0.0, 1.0, 2.0, 3.0});
    expect_values(log.channels.at(0).values, {1.0, 2.0, 4.0, 7.0});
    ASSERT_EQ(log.quality.size(), 2u);
    EXPECT_EQ(log.quality[0].kind, "time-repeated");
    EXPECT_EQ(log.quality[0].text, "the time 1 s is repeated; 2 rows between line 4 and line 9 are left out");
    EXPECT_EQ(log.quality[0].start_s, 1.0);
    EXPECT_EQ(log.quality[0].end_s, 3.0);
    EXPECT_EQ(log.quality[1].kind, "time-reversed");
    EXPECT_EQ(log.quality[1].text,
              "the time runs back from 2 s to 0.5 s; 2 rows between line 6 and line 7 are left out");
}

TEST(CsvReader, TextIsNoSampleAndIsCounted) {
    const Log log = log_of("time_s,speed,note,empty\n0,1,start,\n1,n/a,,\n2,nan,go,\n3,4,go,\n");
    ASSERT_EQ(log.channels.size(), 1u);
    expect_values(log.channels[0].values, {1.0, kBlank, kBlank, 4.0});
    EXPECT_EQ(log.lost,
              (std::vector<std::string>{
                  "channel speed: 2 cells hold no number, the first \"n/a\" in line 3; no sample there",
                  "channel note is left out: it holds no number", "channel empty is left out: it holds no number"}));
}

TEST(CsvReader, ATruncatedLastLineIsLeftOutAndStated) {
    const Log log = log_of("time_s,speed,lambda\n0,1,1\n1,2,1\n2,3");
    expect_values(log.time_bases[0].seconds, {0.0, 1.0});
    EXPECT_EQ(log.lost,
              (std::vector<std::string>{"the last line, 4, is cut short after 2 of 3 cells and is left out"}));
    EXPECT_EQ(log_of("time_s,speed,lambda\n0,1,1\n1,2,1\n2,3,\"0.").lost.size(), 1u);
}

TEST(CsvReader, RowsCutShortOrWithoutATimeAreStated) {
    const Log log = log_of("time_s,speed,lambda\n0,1,1\n1,2\n2,3,1\n,9,9\nend of log\n");
    expect_values(log.channels.at(0).values, {1.0, 2.0, 3.0});
    expect_values(log.channels.at(1).values, {1.0, kBlank, 1.0});
    EXPECT_EQ(log.lost,
              (std::vector<std::string>{
                  "2 rows have fewer cells than the header, the first in line 3; the missing ones count as blank",
                  "2 rows without a time are left out, the first in line 5"}));
}

TEST(CsvReader, RefusesWithPlaceAndReason) {
    EXPECT_EQ(refusal_of(""), "run.csv: expected a log, found an empty file");
    EXPECT_EQ(refusal_of(std::string_view("time_s,a\n0,\0", 12)),
              "run.csv at byte 11: expected text, found a zero byte as in a binary file");
    EXPECT_EQ(refusal_of("note\ntime_s,speed\n"), "run.csv:2: expected rows of numbers below the header, found none");
    EXPECT_EQ(refusal_of("some\ntext\n"),
              "run.csv: expected a header line and rows of numbers, found no row of numbers in the first 2 lines");
    EXPECT_EQ(refusal_of("0,1\n1,2\n"), "run.csv:1: expected a header line above the first row of numbers, found none");
    EXPECT_EQ(refusal_of("speed,lambda\n1,2\n"),
              "run.csv:1: expected a time column such as time_s, Time [ms] or Zeit, found none among 2 columns");
    EXPECT_EQ(refusal_of("time [bar],lambda\n1,2\n"),
              "run.csv:1: the time column time is in \"bar\", expected a unit of time such as s or ms");
    EXPECT_EQ(refusal_of("time_s [ms],lambda\n1,2\n"), "run.csv:1: the time column time_s is in \"ms\", expected s");
    EXPECT_EQ(refusal_of("time_s\n1\n2\n"), "run.csv:1: expected channels beside the time column, found none");
    EXPECT_EQ(refusal_of("time_s,a\n0,1\n1,2,3\n"), "run.csv:3:5: expected 2 cells as in the header, found more");
    EXPECT_EQ(refusal_of("time_s,a\n0,1\n1,\"2\n2,3\n"),
              "run.csv:3:3: expected a closing quote on the same line, found none");
    EXPECT_EQ(refusal_of("speed,time_s\n1,\n2,\n"),
              "run.csv:1: expected rows with a number in the time column time_s, found none");
    EXPECT_EQ(refusal_of("time_s,speed\n1,\n2,\n"), "run.csv:1: expected a number in at least one channel, found none");
}

TEST(CsvReader, RefusesAHeaderThatIsTooWide) {
    std::string header = "time_s", row = "0";
    for (int i = 0; i < 10'000; ++i) header += ",a", row += ",1";
    EXPECT_EQ(refusal_of(header + "\n" + row + "\n"),
              "run.csv:1: the header has 10001 columns, at most 10000 are read");
}

TEST(CsvReader, RefusesAFileWhoseRowsAreMostlyShorterThanTheHeader) {
    std::string text = "time_s" + std::string(99, ',') + "a\n";
    for (int i = 0; i < 400; ++i) text += std::to_string(i) + std::string(99, ',') + "1\n";
    for (int i = 400; i < 2000; ++i) text += std::to_string(i) + "\n";
    // The rows take 48,890 bytes: at one byte a cell, room for 488 rows of 100 cells. Twice that many is the end.
    EXPECT_EQ(refusal_of(text), "run.csv:981: expected rows of 100 cells as in the header, found most of them shorter");
}

}  // namespace
}  // namespace revwright
