#include "image/conversion.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

// ASAM MCD-2 MC 1.6, COMPU_METHOD RAT_FUNC: INT = f(PHYS); numbers of the standard's example 0 4 8 0 0 5.
TEST(Conversion, RatFuncIsTheCountOfThePhysicalValue) {
    const Conversion example = RationalConversion{0, 4, 8, 0, 0, 5};
    EXPECT_NEAR(*physical_value(example, -6.4), -10.0, 1e-12);
    EXPECT_NEAR(*physical_value(example, 1.6), 0.0, 1e-12);
    EXPECT_NEAR(*physical_value(example, 9.6), 10.0, 1e-12);
    EXPECT_EQ(physical_value(RationalConversion{0, 1, 0, 0, 0, 1}, 21845.0), 21845.0);
    // 0 100 0 0 0 1 is the common "hundredths": 86 counts are 0.86 (calculated).
    EXPECT_NEAR(*physical_value(RationalConversion{0, 100, 0, 0, 0, 1}, 86.0), 0.86, 1e-15);
    // A hyperbola, 1000 / x: 100 counts are 10 (calculated).
    EXPECT_NEAR(*physical_value(RationalConversion{0, 0, 1000, 0, 1, 0}, 100.0), 10.0, 1e-12);
}

TEST(Conversion, RatFuncWithoutOneAnswerHasNone) {
    const Conversion square = RationalConversion{1, 0, 0, 0, 0, 1};
    EXPECT_FALSE(physical_value(square, 9.0));  // 3 or -3
    EXPECT_NEAR(*physical_value(square, 9.0, {0.0, 100.0}), 3.0, 1e-12);
    EXPECT_NEAR(*physical_value(square, 9.0, {-5.0, -1.0}), -3.0, 1e-12);
    EXPECT_FALSE(physical_value(square, 9.0, {10.0, 100.0}));
    EXPECT_FALSE(physical_value(square, -1.0));
    EXPECT_FALSE(physical_value(RationalConversion{0, 0, 7, 0, 0, 1}, 7.0));     // a constant tells nothing
    EXPECT_FALSE(physical_value(RationalConversion{0, 0, 1000, 0, 1, 0}, 0.0));  // no x has 1000 / x = 0
}

// ASAM MCD-2 MC 1.6, COMPU_TAB: the ends hold. Numbers of the standard's example.
TEST(Conversion, InterpolationTableHoldsItsEnds) {
    TableConversion table{
        .counts = {0, 200, 400, 1000, 5700}, .values = {2.0, 2.7, 3.0, 4.2, 4.9}, .interpolate = true};
    EXPECT_EQ(physical_value(table, -1.0), 2.0);
    EXPECT_NEAR(*physical_value(table, 850.0), 3.9, 1e-12);
    EXPECT_EQ(physical_value(table, 8000.0), 4.9);
    table.otherwise = 9.0;
    EXPECT_EQ(physical_value(table, 8000.0), 9.0);
    table.interpolate = false;
    table.otherwise.reset();
    EXPECT_EQ(physical_value(table, 400.0), 3.0);
    EXPECT_FALSE(physical_value(table, 401.0));
}

TEST(Conversion, TableRowsMayStandInAnyOrder) {
    const TableConversion table{.counts = {10, 0}, .values = {100.0, 0.0}, .interpolate = true};
    EXPECT_NEAR(*physical_value(table, 5.0), 50.0, 1e-12);
}

TEST(Conversion, WordsOfRangesHoldBothEndsForWholeNumbers) {
    const WordConversion words{.rows = {{0, 0, "off"}, {1, 3, "part"}, {4, 4, "full"}}, .otherwise = ""};
    EXPECT_EQ(word_of(words, 0), "off");
    EXPECT_EQ(word_of(words, 3), "part");
    EXPECT_EQ(word_of(words, 4), "full");
    EXPECT_FALSE(word_of(words, 5));
    EXPECT_FALSE(word_of(words, 3.5));
    EXPECT_EQ(word_of({.rows = {}, .otherwise = "unknown"}, 5), "unknown");
    EXPECT_FALSE(physical_value(words, 1.0));
}

TEST(Conversion, OnlyAStraightLineCanBeWritten) {
    EXPECT_EQ(why_not_linear(LinearConversion{}), "");
    EXPECT_EQ(why_not_linear(UnknownConversion{"it calls another"}),
              "its conversion is not understood: it calls another");
    EXPECT_NE(why_not_linear(TableConversion{}), "");
}

}  // namespace
}  // namespace revwright
