#include "formats/csv/odd_cell.h"

#include <gtest/gtest.h>

namespace revwright::csv {
namespace {

TEST(CsvOddCell, ReadsANumberWithItsUnit) {
    const auto read = [](std::string_view text, char decimal) {
        const auto found = number_with_unit(text, decimal);
        return found ? std::to_string(found->value) + "|" + found->unit : "none";
    };
    EXPECT_EQ(read("85 \xC2\xB0"
                   "C",
                   '.'),
              "85.000000|\xC2\xB0"
              "C");
    EXPECT_EQ(read("85\xB0"
                   "C",
                   '.'),
              "85.000000|\xC2\xB0"
              "C");
    EXPECT_EQ(read("1,2 bar", ','), "1.200000|bar");
    EXPECT_EQ(read("-0.3 bar gauge", '.'), "-0.300000|bar gauge");
    EXPECT_EQ(read("3000rpm", '.'), "3000.000000|rpm");
    for (const char* text : {"1,2 bar", "85", "bar", "3 gears", "5 1", "1-2", "5 -", "- bar"})
        EXPECT_EQ(read(text, '.'), "none") << text;
}

TEST(CsvOddCell, ReadsSwitchesAndHexadecimalNumbers) {
    EXPECT_EQ(yes_or_no("On"), 1.0);
    EXPECT_EQ(yes_or_no("FALSE"), 0.0);
    EXPECT_EQ(yes_or_no("nein"), 0.0);
    EXPECT_FALSE(yes_or_no("maybe"));
    EXPECT_EQ(hexadecimal("0x1F"), 31.0);
    EXPECT_EQ(hexadecimal("0XfFfF"), 65535.0);
    for (const char* text : {"0x", "1F", "0x1G", "0x12345678901234"}) EXPECT_FALSE(hexadecimal(text)) << text;
}

TEST(CsvOddCell, MarksBetweenThousandsCountOnlyWhereTheyAreCertain) {
    const auto read = [](std::string_view text, char decimal) {
        const auto found = grouped_number(text, decimal);
        return found ? std::to_string(found->value) + (found->certain ? "" : "?") : "none";
    };
    EXPECT_EQ(read("1,234.5", '.'), "1234.500000");
    EXPECT_EQ(read("-1.234,5", ','), "-1234.500000");
    EXPECT_EQ(read("1,234,567", '.'), "1234567.000000");
    EXPECT_EQ(read("12 345", '.'), "12345.000000");
    EXPECT_EQ(read("1'234.5", '.'), "1234.500000");
    EXPECT_EQ(read("1\xC2\xA0"
                   "234",
                   '.'),
              "1234.000000");
    EXPECT_EQ(read("1,234", '.'), "1234.000000?");
    for (const char* text : {"1,23", "1,2345", "0,123", "1234,567", "1,234 567", "1,234.5.6", "1,234,56"})
        EXPECT_EQ(read(text, '.'), "none") << text;
}

}  // namespace
}  // namespace revwright::csv
