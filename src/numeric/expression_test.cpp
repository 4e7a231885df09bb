#include "numeric/expression.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <rapidcheck/gtest.h>
#include <string>

namespace revwright {
namespace {

double value(std::string_view text, double x1 = 0.0) {
    const auto expression = Expression::parse(text);
    EXPECT_TRUE(expression) << text << ": " << (expression ? "" : expression.error().what);
    return expression ? (*expression)(x1) : std::numeric_limits<double>::quiet_NaN();
}

std::string refusal(std::string_view text) {
    const auto expression = Expression::parse(text);
    EXPECT_FALSE(expression) << text;
    return expression ? "" : expression.error().what;
}

// The usual order of written mathematics; common practice, no source.
TEST(Expression, KeepsTheOrderOfOperations) {
    EXPECT_EQ(value("1 + 2 * 3"), 7.0);
    EXPECT_EQ(value("(1 + 2) * 3"), 9.0);
    EXPECT_EQ(value("8 - 4 - 2"), 2.0);
    EXPECT_EQ(value("8 / 4 / 2"), 1.0);
    EXPECT_EQ(value("2^3^2"), 512.0);
    EXPECT_EQ(value("2 ** 3 ** 2"), 512.0);
    EXPECT_EQ(value("2*3^2"), 18.0);
    EXPECT_EQ(value("-2^2"), -4.0);
    EXPECT_EQ(value("(-2)^2"), 4.0);
    EXPECT_EQ(value("2^-1"), 0.5);
    EXPECT_EQ(value("3 - -2"), 5.0);
    EXPECT_EQ(value("--+-1"), -1.0);
    EXPECT_EQ(value("-3*-2"), 6.0);
    EXPECT_EQ(value(" .5e1 *\t2.\r\n"), 10.0);
}

TEST(Expression, NamesItsInputs) {
    EXPECT_EQ(value("X", 3.0), 3.0);
    EXPECT_EQ(value("x1 + X01", 3.0), 6.0);
    const auto both = Expression::parse("10*X3 - x");
    ASSERT_TRUE(both);
    EXPECT_EQ(both->inputs(), 3u);
    EXPECT_EQ((*both)(std::vector{1.0, 100.0, 2.0}), 19.0);
    EXPECT_EQ(Expression::parse("4")->inputs(), 0u);
    EXPECT_NE(refusal("X0"), "");
    EXPECT_NE(refusal("1 + X256"), "");
    EXPECT_NE(refusal("X18446744073709551617"), "");
}

// Each function against the C++ library's, at a place where no two of them agree.
TEST(Expression, KnowsItsFunctions) {
    const double x = 0.3;
    EXPECT_EQ(value("abs(-x)", x), x);
    EXPECT_EQ(value("sqrt(x)", x), std::sqrt(x));
    EXPECT_EQ(value("exp(x)", x), std::exp(x));
    EXPECT_EQ(value("LN(x)", x), std::log(x));
    EXPECT_EQ(value("Log(x)", x), std::log10(x));
    EXPECT_EQ(value("log10(x)", x), std::log10(x));
    EXPECT_EQ(value("pow(2, x)", x), std::pow(2.0, x));
    EXPECT_EQ(value("sin(x)", x), std::sin(x));
    EXPECT_EQ(value("cos(x)", x), std::cos(x));
    EXPECT_EQ(value("tan(x)", x), std::tan(x));
    EXPECT_EQ(value("asin(x)", x), std::asin(x));
    EXPECT_EQ(value("acos(x)", x), std::acos(x));
    EXPECT_EQ(value("arctan(x)", x), std::atan(x));
    EXPECT_EQ(value("sinh(x)", x), std::sinh(x));
    EXPECT_EQ(value("cosh(x)", x), std::cosh(x));
    EXPECT_EQ(value("tanh(x)", x), std::tanh(x));
    EXPECT_EQ(value("floor(-x)", x), -1.0);
    EXPECT_EQ(value("ceil(x)", x), 1.0);
    EXPECT_EQ(value("min(3, x + 1, 2)", x), 1.3);
    EXPECT_EQ(value("max(x, 2, 1 + 2)", x), 3.0);
}

TEST(Expression, AValueWithoutOneSaysSo) {
    EXPECT_EQ(value("1/x"), std::numeric_limits<double>::infinity());
    EXPECT_TRUE(std::isnan(value("ln(-1)")));
    EXPECT_TRUE(std::isnan(value("min(1, 0/0)")));
    EXPECT_TRUE(std::isnan(value("max(0/0, 1)")));
}

TEST(Expression, SaysWhereItStopsMakingSense) {
    EXPECT_EQ(refusal("2 * (X + 1"),
              "expected an operator or a closing bracket at column 11 of the formula, found its end");
    EXPECT_EQ(refusal(""),
              "expected a number, an input such as X1, a function or a bracket at column 1 of the formula, found its "
              "end");
    EXPECT_EQ(refusal("2 X"), "expected an operator or the end at column 3 of the formula, found 'X'");
    EXPECT_EQ(refusal("3 + speed"),
              "expected an input such as X1 or a function such as sqrt at column 5 of the formula, found 'speed'");
    EXPECT_EQ(refusal("pow(2)"), "expected a comma at column 6 of the formula, found ')'");
    EXPECT_EQ(refusal("sqrt(2, 3)"), "expected an operator or a closing bracket at column 7 of the formula, found ','");
    EXPECT_EQ(refusal("X < 3"),
              "expected an operator or the end at column 3 of the formula, found '<': comparisons, logic and bit "
              "operators are not worked out here");
    EXPECT_EQ(refusal("X + \xC3\xA4"),
              "expected a number, an input such as X1, a function or a bracket at column 5 of the formula, found byte "
              "0xC3");
    EXPECT_EQ(refusal("1e999"), "expected a number that a double can hold at column 1 of the formula");
    EXPECT_NE(refusal("sin 3"), "");
    EXPECT_NE(refusal("0x10"), "");
    EXPECT_NE(refusal("inf"), "");
    EXPECT_NE(refusal("."), "");
    EXPECT_NE(refusal(std::string_view("1\0", 2)), "");
}

std::string repeated(std::string_view part, int times) {
    std::string text;
    for (int i = 0; i < times; ++i) text += part;
    return text;
}

TEST(Expression, BoundsWhatItTakes) {
    EXPECT_EQ(value(repeated("(", 64) + "5" + repeated(")", 64)), 5.0);
    EXPECT_EQ(refusal(repeated("(", 65) + "5" + repeated(")", 65)),
              "expected at most 64 levels of nesting in the formula, found more at column 66");
    EXPECT_NE(refusal(repeated("2^", 100000) + "2"), "");
    EXPECT_NE(refusal(repeated("sqrt(", 100000)), "");
    EXPECT_EQ(value(repeated("-", 100000) + "2"), 2.0);
    EXPECT_EQ(value("1" + repeated("+1", 2047)), 2048.0);
    EXPECT_NE(refusal("1" + repeated("+1", 2048)), "");
    // The fullest stack a formula may ask for.
    EXPECT_EQ(value(repeated("1+1*min(2,", 64) + "0" + repeated(")", 64)), 3.0);
}

// What a formula says and what C++ says of the same operations.
RC_GTEST_PROP(Expression, AgreesWithTheSameSumInTheProgram, (int a, int b, unsigned char c)) {
    const auto text = std::to_string(a) + "-" + std::to_string(b) + "*X1+(X1-" + std::to_string(c) + ")/4";
    const double x = 0.125 * c;
    RC_ASSERT(value(text, x) == a - b * x + (x - c) / 4);
}

RC_GTEST_PROP(Expression, TakesOrRefusesAnyText, ()) {
    const auto text = *rc::gen::container<std::string>(rc::gen::elementOf(std::string("xX12.e+-*/^(),  sqrtmin<\x80")));
    const auto expression = Expression::parse(text);
    if (!expression) return RC_ASSERT(!expression.error().what.empty());
    const std::vector<double> x(expression->inputs(), 1.5);
    (*expression)(x);
}

}  // namespace
}  // namespace revwright
