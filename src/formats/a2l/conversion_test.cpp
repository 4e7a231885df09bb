#include "formats/a2l/reading_test.h"

// COMPU_METHOD: ASAM MCD-2 MC 1.6. All names are invented.
namespace revwright::a2l {
namespace {

ParameterDescription with(const std::string& method, const std::string& more = "") {
    const ParameterSet set = read_with_common(
        "/begin CHARACTERISTIC P \"\" VALUE 1 L_U8 0 CM 0 1 /end CHARACTERISTIC\n/begin COMPU_METHOD CM \"\" " +
        method + " /end COMPU_METHOD\n" + more);
    return named(set, "P");
}

std::string why(const std::string& method, const std::string& more = "") {
    const ParameterDescription parameter = with(method, more);
    const auto* unknown = std::get_if<UnknownConversion>(&parameter.conversion);
    return unknown != nullptr ? unknown->why : "understood";
}

LinearConversion line(const std::string& method) {
    const ParameterDescription parameter = with(method);
    const auto* linear = std::get_if<LinearConversion>(&parameter.conversion);
    if (linear != nullptr) return *linear;
    ADD_FAILURE() << method << " is no straight line";
    return {};
}

TEST(A2lConversion, Identical) {
    EXPECT_EQ(line("IDENTICAL \"%3.0\" \"h\"").factor, 1.0);
    EXPECT_EQ(with("IDENTICAL \"%3.0\" \"h\"").unit, "h");
}

// PHYS = a INT + b: COEFFS_LINEAR 33 2 takes a signed byte to -4222 .. 4193 (checker of the library a2lfile, which
// quotes ASAM MCD-2 MC 1.6).
TEST(A2lConversion, LinearGoesFromTheCountToTheValue) {
    const LinearConversion read = line("LINEAR \"%3.0\" \"\" COEFFS_LINEAR 33 2");
    EXPECT_EQ(-128 * read.factor + read.offset, -4222.0);
    EXPECT_EQ(127 * read.factor + read.offset, 4193.0);
    EXPECT_TRUE(holds(why("LINEAR \"%3.0\" \"\" COEFFS_LINEAR 0 2"), "factor 0"));
    EXPECT_TRUE(holds(why("LINEAR \"%3.0\" \"\""), "has no COEFFS_LINEAR"));
}

// INT = f(PHYS): COEFFS 0 4 8 0 0 5 takes -10, 0, 10 to the counts -6.4, 1.6, 9.6 ("examples from the 1.6
// specification" in the tests of the library pyA2L).
TEST(A2lConversion, RationalGoesFromTheValueToTheCount) {
    const LinearConversion read = line("RAT_FUNC \"%3.0\" \"\" COEFFS 0 4 8 0 0 5");
    EXPECT_NEAR(-6.4 * read.factor + read.offset, -10.0, 1e-12);
    EXPECT_NEAR(1.6 * read.factor + read.offset, 0.0, 1e-12);
    EXPECT_NEAR(9.6 * read.factor + read.offset, 10.0, 1e-12);
    EXPECT_EQ(line("RAT_FUNC \"%3.0\" \"\" COEFFS 0 1 0 0 0 1").factor, 1.0);
    EXPECT_EQ(line("RAT_FUNC \"%3.0\" \"\" COEFFS 0 100 0 0 0 1").factor, 0.01);
    EXPECT_EQ(line("RAT_FUNC \"%3.0\" \"\" COEFFS 4 8 0 0 2 0").factor, 0.5) << "4x^2 + 8x over 2x is the line 2x + 4";
}

TEST(A2lConversion, AHyperbolaStaysOne) {
    const ParameterDescription parameter = with("RAT_FUNC \"%3.0\" \"\" COEFFS 0 0 1000 0 1 0");
    const auto& read = std::get<RationalConversion>(parameter.conversion);
    EXPECT_EQ((read.a * 100 + read.b * 10 + read.c) / (read.d * 100 + read.e * 10 + read.f), 100.0);
}

TEST(A2lConversion, AConstantCanNotBeTurnedRound) {
    for (const char* coeffs : {"0 1 0 0 1 0", "0 0 7 0 0 2", "0 0 0 0 1 1", "2 4 6 1 2 3"})
        EXPECT_TRUE(
            holds(why(std::string("RAT_FUNC \"\" \"\" COEFFS ") + coeffs), "one count for every physical value"))
            << coeffs;
    EXPECT_TRUE(holds(why("RAT_FUNC \"\" \"\" COEFFS 1 1 1 0 0 0"), "the denominator of its COEFFS is 0"));
    EXPECT_TRUE(holds(why("RAT_FUNC \"\" \"\" COEFFS 0 1 0 0 0"), "its COEFFS is not understood"));
}

const char* const kTable = "/begin COMPU_TAB T \"\" TAB_INTP 3 0 10 1 20 5 30 DEFAULT_VALUE_NUMERIC 99 /end COMPU_TAB";

TEST(A2lConversion, Tables) {
    const ParameterDescription parameter = with("TAB_INTP \"\" \"K\" COMPU_TAB_REF T", kTable);
    const auto& read = std::get<TableConversion>(parameter.conversion);
    EXPECT_TRUE(read.interpolate);
    EXPECT_EQ(read.counts, (std::vector<double>{0, 1, 5}));
    EXPECT_EQ(read.values, (std::vector<double>{10, 20, 30}));
    EXPECT_EQ(read.otherwise, 99.0);
    EXPECT_TRUE(
        holds(why("TAB_NOINTP \"\" \"\" COMPU_TAB_REF T", kTable), "it says TAB_NOINTP, its table T says TAB_INTP"));
    const auto table = [](const std::string& rows) {
        return why("TAB_INTP \"\" \"\" COMPU_TAB_REF T",
                   "/begin COMPU_TAB T \"\" TAB_INTP " + rows + " /end COMPU_TAB");
    };
    EXPECT_TRUE(holds(table("3 0 1 1 2"), "it says 3 rows and has 2"));
    EXPECT_TRUE(holds(table("1 0 1 1 2"), "it has more rows than it says"));
    EXPECT_TRUE(holds(table("0"), "its table has no rows"));
    EXPECT_TRUE(holds(table("3 0 1 2 2 1 3"), "neither rise nor fall"));
    EXPECT_EQ(table("3 2 1 1 2 0 3"), "understood") << "falling counts are no doubt";
    EXPECT_TRUE(holds(
        why("TAB_NOINTP \"\" \"\" COMPU_TAB_REF T", "/begin COMPU_TAB T \"\" TAB_NOINTP 2 4 1 4 2 /end COMPU_TAB"),
        "holds one count twice"));
}

TEST(A2lConversion, ATableThatIsNotThereIsTheParametersReason) {
    const ParameterDescription parameter = with("TAB_INTP \"\" \"\" COMPU_TAB_REF T");
    EXPECT_EQ(parameter.why_not, "the table T of its conversion CM is not described (harrow.a2l:5:43)");
}

TEST(A2lConversion, Words) {
    const std::string words =
        "/begin COMPU_VTAB W \"\" TAB_VERB 2 1 \"on\" 3 \"of\\\"f\" DEFAULT_VALUE \"odd\" /end COMPU_VTAB\n";
    const auto single = std::get<WordConversion>(with("TAB_VERB \"\" \"\" COMPU_TAB_REF W", words).conversion);
    ASSERT_EQ(single.rows.size(), 2U);
    EXPECT_EQ(single.rows[1].low, 3.0);
    EXPECT_EQ(single.rows[1].high, 3.0);
    EXPECT_EQ(single.rows[1].word, "of\"f");
    EXPECT_EQ(single.otherwise, "odd");
    const std::string ranges = "/begin COMPU_VTAB_RANGE W \"\" 2 0 1 \"low\" 2 9 \"high\" /end COMPU_VTAB_RANGE\n";
    const auto ranged = std::get<WordConversion>(with("TAB_VERB \"\" \"\" COMPU_TAB_REF W", ranges).conversion);
    ASSERT_EQ(ranged.rows.size(), 2U);
    EXPECT_EQ(ranged.rows[1].low, 2.0);
    EXPECT_EQ(ranged.rows[1].high, 9.0);
}

TEST(A2lConversion, AFormulaOfTheCountAlone) {
    const ParameterDescription parameter =
        with("FORM \"\" \"rpm\" /begin FORMULA \"X1+4\" FORMULA_INV \"X1-4\" /end FORMULA");
    EXPECT_EQ(std::get<FormulaConversion>(parameter.conversion).expression(6.0), 10.0);
    EXPECT_TRUE(holds(why("FORM \"\" \"\" /begin FORMULA \"X1+X2\" /end FORMULA"), "needs more than the count"));
    EXPECT_TRUE(holds(why("FORM \"\" \"\" /begin FORMULA \"7\" /end FORMULA"), "does not depend on the count"));
    EXPECT_TRUE(holds(why("FORM \"\" \"\" /begin FORMULA \"X1 + sysc(K)\" /end FORMULA"), "is not understood"));
    EXPECT_TRUE(holds(why("FORM \"\" \"\""), "has no FORMULA"));
}

TEST(A2lConversion, WhatIsNotUnderstoodIsSaid) {
    EXPECT_EQ(why("SPLINE \"\" \"\""), "conversion CM (harrow.a2l:6): SPLINE is no kind of conversion that is known");
    EXPECT_TRUE(holds(why("IDENTICAL \"\" \"\" STATUS_STRING_REF W"), "STATUS_STRING_REF"));
    EXPECT_TRUE(holds(
        why("IDENTICAL \"\" \"\"", "/begin COMPU_METHOD CM \"\" LINEAR \"\" \"\" COEFFS_LINEAR 2 0 /end COMPU_METHOD"),
        "stands twice and differs"));
}

TEST(A2lConversion, UnitsOfTheirOwn) {
    const std::string unit = "/begin UNIT U_kPa \"\" \"kPa\" DERIVED /end UNIT";
    EXPECT_EQ(with("IDENTICAL \"\" \"\" REF_UNIT U_kPa", unit).unit, "kPa");
    EXPECT_EQ(with("IDENTICAL \"\" \"bar\" REF_UNIT U_kPa", unit).unit, "bar") << "the conversion's own goes before";
}

// One long table that very many parameters use must not be held once for each.
TEST(A2lConversion, TablesThatWouldTakeTooMuchRoomAreLeftOut) {
    std::string body =
        "/begin COMPU_METHOD CM \"\" TAB_INTP \"\" \"\" COMPU_TAB_REF T /end COMPU_METHOD\n/begin COMPU_TAB T \"\" "
        "TAB_INTP 20000 ";
    for (int i = 0; i < 20000; ++i) body += std::to_string(i) + " " + std::to_string(i) + " ";
    body += "/end COMPU_TAB\n";
    for (int i = 0; i < 1000; ++i)
        body += "/begin CHARACTERISTIC P" + std::to_string(i) + " \"\" VALUE 1 L_U8 0 CM 0 1 /end CHARACTERISTIC\n";
    const ParameterSet set = read_with_common(body);
    ASSERT_EQ(set.parameters.size(), 1000U);
    EXPECT_TRUE(std::holds_alternative<TableConversion>(set.parameters.front().conversion));
    EXPECT_TRUE(std::holds_alternative<UnknownConversion>(set.parameters.back().conversion));
}

}  // namespace
}  // namespace revwright::a2l
