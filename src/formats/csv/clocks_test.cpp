#include "formats/csv/clocks.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "formats/csv/read_test.h"

namespace revwright::csv {
namespace {

TEST(CsvClocks, EachGroupHasItsTimeBaseAndMayEndEarlier) {
    const Log log = log_of(
        "Time A;rpm;pedal;Time B;lambda\n"
        "0;1000;10;0,05;1\n0,1;1100;20;0,25;0,9\n0,2;1200;30;;\n0,3;1300;40\n");
    EXPECT_EQ(shown(log),
              "rpm [] @ 0 0.1 0.2 0.3: 1000 1100 1200 1300\n"
              "pedal [] @ 0 0.1 0.2 0.3: 10 20 30 40\n"
              "lambda [] @ 0.05 0.25: 1 0.9\n");
    EXPECT_EQ(notes_of(log), "");
    const Log other = log_of("Time A;rpm;Time B;lambda\n0;1000;0;1\n1;1100;0,5;0,9\n;;1;0,8\n;;1,5;0,7\n");
    EXPECT_EQ(shown(other), "rpm [] @ 0 1: 1000 1100\nlambda [] @ 0 0.5 1 1.5: 1 0.9 0.8 0.7\n");
    EXPECT_EQ(lost_of(other), "");
}

TEST(CsvClocks, ATimeBeforeEveryChannelIsOneBaseWhereTheTimesAgree) {
    for (const char* header :
         {"Time [ms],rpm,Time [ms],lambda,Time [ms],oil", "rpm time [ms],rpm,lambda time [ms],lambda,oil time [ms],oil",
          "Time 1 [ms],rpm,Time 2 [ms],lambda,Time 3 [ms],oil"}) {
        const Log log = log_of(std::string(header) + "\n0,1,0,0.9,0,80\n100,2,100,0.8,150,81\n200,3,200,0.7,,\n");
        EXPECT_EQ(shown(log), "rpm [] @ 0 0.1 0.2: 1 2 3\nlambda [] @ 0 0.1 0.2: 0.9 0.8 0.7\noil [] @ 0 0.15: 80 81\n")
            << header;
        EXPECT_EQ(log.time_bases.size(), 2u);
        EXPECT_EQ(lost_of(log), "");
    }
}

TEST(CsvClocks, ASecondClockBesideTheFirstStartsNoGroup) {
    const Log wall = log_of("time_s,a,Uhrzeit,b\n0,1,10:00:00,5\n1,2,10:00:01,6\n");
    EXPECT_EQ(shown(wall), "a [] @ 0 1: 1 2\nb [] @ 0 1: 5 6\n");
    const Log beside = log_of("Uhrzeit,Zeit,a\n10:00:00,0,1\n10:00:01,0.5,2\n");
    EXPECT_EQ(shown(beside), "a [] @ 0 0.5: 1 2\n");
    EXPECT_EQ(lost_of(beside), "column Uhrzeit is a second clock beside Zeit; it is left out\n");
    const Log stamp = log_of("Time,a,Timestamp,b\n0,1,1700000000,5\n1,2,1700000001,6\n");
    EXPECT_EQ(shown(stamp), "a [] @ 0 1: 1 2\nTimestamp [] @ 0 1: 1700000000 1700000001\nb [] @ 0 1: 5 6\n");
    EXPECT_EQ(
        lost_of(stamp),
        "column Timestamp is a second clock beside Time; it is kept as a channel, and all channels are put on the "
        "first\n");
    // An injection time is no clock, whatever it is called.
    EXPECT_EQ(shown(log_of("Time,a,t [ms],b\n0,1,3,5\n1,2,2,6\n2,3,4,6\n")),
              "a [] @ 0 1 2: 1 2 3\nt [ms] @ 0 1 2: 3 2 4\nb [] @ 0 1 2: 5 6 6\n");
}

TEST(CsvClocks, ClocksWithoutACommonTimeAreStatedAndClocksBehindTheirChannelsRefused) {
    EXPECT_EQ(
        notes_of(log_of("Time A,a,Time B,b\n0,1,500,5\n1,2,501,6\n")),
        "time-apart: the clock Time A runs from 0 to 1 s, Time B from 500 to 501 s; they have no time in common, so "
        "that their channels cannot be held against each other\n");
    EXPECT_EQ(
        refusal_of("a,Time A,b,Time B\n1,0,5,0\n2,1,6,1\n"),
        "run.csv:1: expected each time column before its channels, found column a before the first of 2 time columns");
}

TEST(CsvClocks, ReadsClockFormAndPassesMidnight) {
    EXPECT_EQ(shown(log_of("Time,a\n12:34:56.789,1\n12:34:57.039,2\n")), "a [] @ 45296.789 45297.039: 1 2\n");
    EXPECT_EQ(shown(log_of("Zeit;a\n00:01:02,5;1\n00:01:02,75;1,5\n")), "a [] @ 62.5 62.75: 1 1.5\n");
    EXPECT_EQ(shown(log_of("Time,a\n1:02.5,1\n1:03.5,2\n")), "a [] @ 62.5 63.5: 1 2\n");
    const Log midnight = log_of("Time,a\n23:59:59.5,1\n00:00:00.5,2\n00:00:01.5,3\n");
    EXPECT_EQ(shown(midnight), "a [] @ 86399.5 86400.5 86401.5: 1 2 3\n");
    EXPECT_EQ(notes_of(midnight), "");
    const Log dated = log_of("Date,a\n2026-02-28T23:59:59.75,1\n2026-03-01T00:00:00.25,2\n");
    EXPECT_EQ(shown(dated), "a [] @ 86399.75 86400.25: 1 2\n");
    EXPECT_EQ(shown(log_of("Datum;Uhrzeit;a\n01.03.2026;10:00:00;1\n01.03.2026;10:00:01;2\n")),
              "a [] @ 36000 36001: 1 2\n");
    EXPECT_EQ(notes_of(log_of("Time,a\n10:00:01,1\n10:00:00,2\n")),
              "time-reversed: the time runs back from 36001 s to 36000 s; 1 row in line 3 is left out\n");
}

TEST(CsvClocks, DatesAloneAreNoTime) {
    EXPECT_EQ(refusal_of("Date,a\n2026-03-01,1\n2026-03-02,2\n"),
              "run.csv:1: expected times in the column Date, found \"2026-03-01\", a date alone");
    EXPECT_EQ(refusal_of("Time;a\n01.03.2026;1\n02.03.2026;2\n"),
              "run.csv:1: expected times in the column Time, found \"01.03.2026\", a date alone");
}

TEST(CsvClocks, ReadsEveryUnitOfTimeAndDoubtsOneThatIsNotNamed) {
    for (const char* header : {"Time [ms],a", "time_ms,a", "Time (msec),a"})
        EXPECT_EQ(shown(log_of(std::string(header) + "\n0,1\n50,2\n")), "a [] @ 0 0.05: 1 2\n") << header;
    EXPECT_EQ(shown(log_of("Time [\xC2\xB5s],a\n0,1\n50000,2\n")), "a [] @ 0 0.05: 1 2\n");
    EXPECT_EQ(shown(log_of("time_us,a\n0,1\n50000,2\n")), "a [] @ 0 0.05: 1 2\n");
    EXPECT_EQ(shown(log_of("Time,a\n0 ms,1\n50 ms,2\n")), "a [] @ 0 0.05: 1 2\n");
    EXPECT_EQ(
        notes_of(log_of("Time,a\n0,1\n50,2\n100,3\n150,4\n")),
        "time-unit: the time column Time names no unit and steps by 50; it is read as seconds: write Time [ms] into "
        "the header if it is in milliseconds\n");
    EXPECT_EQ(notes_of(log_of("Time [s],a\n0,1\n50,2\n100,3\n150,4\n")), "");
}

TEST(CsvClocks, RowsWithoutATimeArePutBetweenEvenNeighboursOnly) {
    const Log even = log_of("time_s,a\n0,1\n0.5,2\n,3\n,4\n2,5\n");
    EXPECT_EQ(shown(even), "a [] @ 0 0.5 1 1.5 2: 1 2 3 4 5\n");
    EXPECT_EQ(
        notes_of(even),
        "time-missing: 2 rows without a time between line 4 and line 5 are put evenly between the rows around them\n");
    const Log uneven = log_of("time_s,a\n0,1\n0.5,2\n,3\n,4\n3,5\n,6\n");
    EXPECT_EQ(shown(uneven), "a [] @ 0 0.5 3: 1 2 5\n");
    EXPECT_EQ(lost_of(uneven), "3 rows without a time are left out, the first in line 4\n");
}

TEST(CsvClocks, ACountOfWholeSecondsIsSpreadOverItsRows) {
    std::string text = "ENGINE_RUN_TINE (),ENGINE_RPM (),\n";
    for (const char* second : {"0", "0", "0", "1", "1", "3", "3", "3", "3", "4", "4"})
        text += std::string(second) + ".0, 800.0,\r\n";
    const Log log = log_of(text);
    ASSERT_EQ(log.channels.size(), 1u);
    EXPECT_EQ(log.channels[0].name, "ENGINE_RPM");
    EXPECT_EQ(log.channels[0].unit_in_log, "");
    // Six rows take the 3 s from the step to 1 to the step to 4: half a second each where the clock does not say more.
    EXPECT_EQ(shown(log.time_bases[0].seconds), "-0.5 0 0.5 1 2 3 3.25 3.5 3.75 4 4.5");
    EXPECT_EQ(notes_of(log),
              "time-coarse: the clock ENGINE_RUN_TINE stands still in 7 of 11 rows and then steps; the rows are spread "
              "evenly between its steps, so that a time may be wrong by up to 2 s\n");
}

TEST(CsvClocks, ACountOfRowsStandsInForAClockAndSaysSo) {
    const Log log = log_of("Index,rpm\n1,800\n2,810\n3,820\n");
    EXPECT_EQ(shown(log), "rpm [] @ 1 2 3: 800 810 820\n");
    EXPECT_EQ(
        notes_of(log),
        "time-missing: there is no time column; Index numbers the rows and is taken as seconds: no duration, rate or "
        "acceleration of this log can be trusted\n");
    EXPECT_EQ(refusal_of("Index,rpm\n1,800\n5,810\n6,820\n"),
              "run.csv:1: expected a time column such as time_s, Time [ms] or Zeit, found none among 2 columns");
}

TEST(CsvClocks, AHeaderInTheMiddleIsARestartAndItsClockGoesOn) {
    const Log log = log_of("Zeit;a\ns;bar\n0;1\n1;2\nZeit;a\ns;bar\n0;3\n1;4\n0,5;9\n");
    EXPECT_EQ(shown(log), "a [bar] @ 0 1 11 12: 1 2 3 4\n");
    EXPECT_EQ(lost_of(log), "the header stands again in 1 line, the first is 5: the logger was started again\n");
    EXPECT_EQ(
        notes_of(log),
        "time-reversed: the time runs back from 12 s to 11.5 s; 1 row in line 9 is left out\n"
        "time-restarted: the logger was started again in line 7, where its clock falls from 1 s to 0 s; the rows from "
        "there are put 10 s behind those before\n");
    EXPECT_EQ(shown(log_of("time_s,a\n0,1\n1,2\ntime_s,a\n2,3\n")), "a [] @ 0 1 2: 1 2 3\n");
}

// Drives of a healthy car, logged at about 2 Hz against a clock of whole seconds.
// Source: github.com/eron93br/carOBD at bf09e1c0; kept outside this project.
TEST(CsvClocks, ReadsRealDrives) {
    namespace fs = std::filesystem;
    fs::path folder = fs::path(__FILE__).parent_path();
    while (folder.has_relative_path() && !fs::exists(folder / "ARCHITECTURE.md")) folder = folder.parent_path();
    folder = folder.parent_path() / "shared" / "data" / "obd-drives";
    if (!fs::exists(folder)) GTEST_SKIP() << "the drives are not here: " << folder;
    for (const char* name : {"drive9.csv", "idle1.csv", "ufpe1.csv"}) {
        std::ifstream file(folder / name, std::ios::binary);
        const std::string text{std::istreambuf_iterator<char>(file), {}};
        const Log log = log_of(text);
        EXPECT_EQ(log.channels.size(), 26u) << name;
        ASSERT_EQ(log.quality.size(), 1u) << name;
        EXPECT_EQ(log.quality[0].kind, "time-coarse");
        const auto rows = static_cast<std::size_t>(std::ranges::count(text, '\n')) - 1;
        EXPECT_GE(log.time_bases[0].seconds.size() + 1, rows) << name << ": all rows but one cut short";
        for (const Channel& channel : log.channels) EXPECT_FALSE(channel.name.ends_with(')')) << channel.name;
    }
}

}  // namespace
}  // namespace revwright::csv
