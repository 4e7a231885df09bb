#include "formats/csv/number.h"

#include <bit>
#include <cmath>
#include <cstdlib>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <string>

namespace revwright::csv {
namespace {

TEST(Number, ReadsWhatLoggersWrite) {
    EXPECT_EQ(whole_number("0", '.'), 0.0);
    EXPECT_EQ(whole_number("-12.50", '.'), -12.5);
    EXPECT_EQ(whole_number("+7", '.'), 7.0);
    EXPECT_EQ(whole_number(".5", '.'), 0.5);
    EXPECT_EQ(whole_number("5.", '.'), 5.0);
    EXPECT_EQ(whole_number("1,25", ','), 1.25);
    EXPECT_EQ(whole_number("1.5E+03", '.'), 1500.0);
    EXPECT_EQ(whole_number("000000000000000000000000012.5", '.'), 12.5);
    EXPECT_TRUE(std::signbit(*whole_number("-0", '.')));
}

TEST(Number, IsNoOtherText) {
    for (const char* text :
         {"", "-", ".", "e5", "1e", "1e+", "12a", "1 2", "1.2.3", "0x10", "nan", "inf", "--1", "1,5", "+-1"})
        EXPECT_FALSE(whole_number(text, '.')) << text;
    EXPECT_FALSE(whole_number("1.5", ','));
}

TEST(Number, KnowsWhatIsBeyondADouble) {
    for (const char* text : {"inf", "-INF", "+Infinity", "1e999", "-1e400", "1e99999999999"}) {
        EXPECT_FALSE(whole_number(text, '.')) << text;
        EXPECT_TRUE(stands_for_infinity(text, '.')) << text;
    }
    EXPECT_EQ(whole_number("1e-999", '.'), 0.0);
    for (const char* text : {"nan", "1", "abc", "", "-", "information"})
        EXPECT_FALSE(stands_for_infinity(text, '.')) << text;
}

// The shortest text of any double, as {fmt} writes it, is read back to the very same bits.
RC_GTEST_PROP(NumberProperty, EveryDoubleComesBack, (std::uint64_t bits)) {
    const double value = std::bit_cast<double>(bits);
    RC_PRE(std::isfinite(value));
    const auto back = whole_number(fmt::format("{}", value), '.');
    RC_ASSERT(back.has_value());
    RC_ASSERT(std::bit_cast<std::uint64_t>(*back) == bits);
}

// Digits of any length round as the C library rounds them.
RC_GTEST_PROP(NumberProperty, RoundsLikeTheCLibrary, (std::uint64_t whole, std::uint64_t fraction)) {
    const int power = *rc::gen::inRange(-340, 309);
    std::string text = fmt::format("{}.{}", whole, fraction);
    if (*rc::gen::arbitrary<bool>()) text += fmt::format("e{}", power);
    const double expected = std::strtod(text.c_str(), nullptr);
    if (std::isfinite(expected))
        RC_ASSERT(whole_number(text, '.') == expected);
    else
        RC_ASSERT(stands_for_infinity(text, '.'));
}

TEST(Number, WhatIsPlainlyOneIsReadAsOne) {
    for (const char* text : {"0", "-1", "12.5", "000", "-0.001", "123456789012.25"}) {
        EXPECT_TRUE(is_plain_number(text, '.')) << text;
        EXPECT_TRUE(whole_number(text, '.')) << text;
    }
    EXPECT_TRUE(is_plain_number("0,95", ','));
    // Not plainly: whether these are numbers is for others to say.
    for (const char* text : {"", "-", ".", "5.", ".5", "1.2.3", "1,5", "+1", "1e3", " 1", "--1", "1234567890123456"})
        EXPECT_FALSE(is_plain_number(text, '.')) << text;
}

}  // namespace
}  // namespace revwright::csv
