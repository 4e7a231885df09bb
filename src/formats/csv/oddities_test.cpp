#include <gtest/gtest.h>

#include "formats/csv/read_test.h"

namespace revwright::csv {
namespace {

std::string utf16(std::u16string_view text, bool big, bool mark) {
    std::string bytes;
    const auto put = [&](char16_t unit) {
        const char low = static_cast<char>(unit & 0xFF), high = static_cast<char>(unit >> 8);
        bytes += big ? high : low;
        bytes += big ? low : high;
    };
    if (mark) put(u'\xFEFF');
    for (const char16_t unit : text) put(unit);
    return bytes;
}

TEST(CsvOddities, ReadsUtf16OfBothOrdersWithAndWithoutMark) {
    for (const bool big : {false, true})
        for (const bool mark : {false, true}) {
            const Log log =
                log_of(utf16(u"Zeit [s];\u00D6l [\u00B0C];\U0001F697\r\n0;90,5;1\r\n1;91;2\r\n", big, mark));
            EXPECT_EQ(shown(log),
                      "\xC3\x96l [\xC2\xB0"
                      "C] @ 0 1: 90.5 91\n\xF0\x9F\x9A\x97 [] @ 0 1: 1 2\n");
        }
}

TEST(CsvOddities, RefusesBrokenUtf16) {
    std::string odd = utf16(u"time_s,a\n0,1\n", false, true);
    odd.pop_back();
    EXPECT_EQ(refusal_of(odd),
              "run.csv at byte 26: expected two bytes a character as in UTF-16, found an odd number of bytes, 27");
    std::u16string half = u"time_s,a\n0,1\n";
    half[7] = 0xD83D;
    EXPECT_EQ(refusal_of(utf16(half, true, true)),
              "run.csv at byte 16: expected UTF-16 text, found half of a surrogate pair");
    half[7] = u'\0';
    EXPECT_EQ(refusal_of(utf16(half, true, true)),
              "run.csv at byte 16: expected text, found a zero character as in a binary file");
    EXPECT_EQ(refusal_of("\xFF\xFE"), "run.csv: expected a log, found an empty file");
}

TEST(CsvOddities, ALineBreakInAQuotedHeaderIsABlank) {
    const Log log = log_of("\"Time \r\n(s)\",\"Speed \r\n(RPM)\",\"Fuel Rate\n(g/sec)\"\r\n0,1,2\r\n1,3,4\r\n2,3");
    EXPECT_EQ(shown(log), "Speed [RPM] @ 0 1: 1 3\nFuel Rate [g/sec] @ 0 1: 2 4\n");
    EXPECT_EQ(lost_of(log), "the last line, 7, is cut short after 2 of 3 cells and is left out\n")
        << "lines are counted";
    EXPECT_EQ(shown(log_of("Rim 17\"\ntime_s,a\n0,1\n1,2\n")), "a [] @ 0 1: 1 2\n") << "an inch is no quote";
}

TEST(CsvOddities, TakesTheUnitOfCellsThatAgree) {
    const Log log = log_of(
        "time_s;oil;boost;n [rpm]\n0;85 \xB0"
        "C;1,2 bar;3000 rpm\n1;86\xB0"
        "C;;3100 1/min\n2;-;0,9 bar;3200 rpm\n");
    EXPECT_EQ(shown(log),
              "oil [\xC2\xB0"
              "C] @ 0 1 2: 85 86 -\nboost [bar] @ 0 1 2: 1.2 - 0.9\nn [rpm] @ 0 1 2: 3000 3100 3200\n");
    EXPECT_EQ(lost_of(log), "channel oil: 1 cell holds no number, the first \"-\" in line 4; no sample there\n");
}

TEST(CsvOddities, LeavesOutAColumnWhoseCellsDisagreeAboutTheUnit) {
    EXPECT_EQ(lost_of(log_of("time_s,ok,p\n0,1,1 bar\n1,1,900 mbar\n")),
              "channel p is left out: its cells are in different units, \"900 mbar\" among cells in bar\n");
    EXPECT_EQ(lost_of(log_of("time_s,ok,p [kPa]\n0,1,1 bar\n1,1,2 bar\n")),
              "channel p is left out: the header gives its unit as kPa, its cells as bar\n");
    std::string late = "time_s,ok,p\n";
    for (int i = 0; i < 500; ++i) late += std::to_string(i) + ",1,1 bar\n";
    EXPECT_EQ(lost_of(log_of(late + "500,1,900 mbar\n")),
              "channel p is left out: its cells are in different units, \"900 mbar\" in line 502 after cells in bar\n");
    EXPECT_EQ(lost_of(log_of(late + "500,1,2\n")),
              "channel p is left out: of its 501 numbers 500 are written with a unit, the others plainly\n");
}

TEST(CsvOddities, NumbersNamesThatStandTwice) {
    const Log log = log_of("time_s,a,a,time_s,a (2),a\n0,1,2,3,4,5\n1,1,2,3,4,5\n");
    EXPECT_EQ(
        shown(log),
        "a [] @ 0 1: 1 1\na (3) [] @ 0 1: 2 2\ntime_s (2) [] @ 0 1: 3 3\na (2) [] @ 0 1: 4 4\na (4) [] @ 0 1: 5 5\n");
    EXPECT_EQ(lost_of(log),
              "column 3 is called a like another; it is read as a (3)\n"
              "column 4 is called time_s like another; it is read as time_s (2)\n"
              "column 6 is called a like another; it is read as a (4)\n");
}

// Found by fuzzing: written as time_s again, the channel would have been a second clock.
TEST(CsvOddities, AChannelNeverKeepsTheNameOfOurClock) {
    EXPECT_EQ(shown(log_of("time._s,a,time_s [x]\n0,1,2\n1,2,2\n")), "a [] @ 0 1: 1 2\ntime_s (2) [x] @ 0 1: 2 2\n");
}

TEST(CsvOddities, ReadsSwitchesAndHexadecimalColumns) {
    const Log log = log_of("time_s,fan,limit,state,mode\n0,on,TRUE,0x1F,1\n1,off,FALSE,0xff,on\n2,,FALSE,0x00,2\n");
    EXPECT_EQ(shown(log),
              "fan [] @ 0 1 2: 1 0 -\nlimit [] @ 0 1 2: 1 0 0\nstate [] @ 0 1 2: 31 255 0\nmode [] @ 0 1 2: 1 - 2\n");
    EXPECT_EQ(lost_of(log), "channel mode: 1 cell holds no number, the first \"on\" in line 3; no sample there\n");
}

TEST(CsvOddities, ReadsThousandsOnlyWhereTheyAreCertain) {
    EXPECT_EQ(shown(log_of("time_s;a;b\n0,0;1.234,5;1 234\n0,5;999,5;999\n")),
              "a [] @ 0 0.5: 1234.5 999.5\nb [] @ 0 0.5: 1234 999\n");
    EXPECT_EQ(shown(log_of("time_s,a\n0.0,\"1,234.5\"\n0.5,\"1,235\"\n")), "a [] @ 0 0.5: 1234.5 1235\n")
        << "the first cell shows what the comma is";
    const Log unsure = log_of("time_s,a,b\n0.0,1,0.5\n0.5,\"1,235\",0.6\n");
    EXPECT_EQ(shown(unsure), "a [] @ 0 0.5: 1 -\nb [] @ 0 0.5: 0.5 0.6\n");
    EXPECT_EQ(
        lost_of(unsure),
        "channel a: 1 cell holds no number, the first \"1,235\" in line 3, which may mean a thousand or a fraction; no "
        "sample there\n");
}

TEST(CsvOddities, ReadsQuotedDecimalCommasBetweenCommas) {
    EXPECT_EQ(shown(log_of("time_s,a,n\n\"0,0\",\"0,950\",800\n\"0,5\",\"1,050\",900\n")),
              "a [] @ 0 0.5: 0.95 1.05\nn [] @ 0 0.5: 800 900\n");
}

TEST(CsvOddities, ANumberThatIsNotFiniteIsNoSampleAndTheRestStays) {
    const Log log = log_of("time_s,a,b\n0,1,5\n1,1e999,6\n2,-inf,7\n3,nan,8\ninf,4,9\n");
    EXPECT_EQ(shown(log), "a [] @ 0: 1\nb [] @ 0 1 2 3: 5 6 7 8\n");
    EXPECT_EQ(notes_of(log),
              "not-finite: channel a: 2 cells hold no finite number, the first \"1e999\" in line 3; no sample there\n");
    EXPECT_EQ(log.quality[0].start_s, 1.0);
    EXPECT_EQ(log.quality[0].end_s, 2.0);
    EXPECT_EQ(lost_of(log),
              "1 row without a time is left out, the first in line 6\n"
              "channel a: 1 cell holds no number, the first \"nan\" in line 5; no sample there\n");
}

TEST(CsvOddities, PassesOverEmptyColumnsAndMetadata) {
    const Log log = log_of(
        "Start;2026-03-01 10:00:00;20 Hz;;\nCar;\"red; two doors\"\n;;;;\n"
        "Time;a;;b;;;\n0;-1;;5;;;\n1;-2;;6;;;\n");
    EXPECT_EQ(shown(log), "a [] @ 0 1: -1 -2\nb [] @ 0 1: 5 6\n");
    EXPECT_EQ(lost_of(log), "channel column 3 is left out: it holds no number\n");
    EXPECT_EQ(refusal_of("time_s,a\n0,1,,\n1,2,,3\n"), "run.csv:3:6: expected 2 cells as in the header, found more");
}

}  // namespace
}  // namespace revwright::csv
