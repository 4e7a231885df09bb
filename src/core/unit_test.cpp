#include "core/unit.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

struct Row {
    const char* from;
    double reading;
    const char* to;
    double published, half_digit;
};

// [SP811] NIST Special Publication 811, 2008 edition, appendix B.8 (alphabetical list of factors) and B.9
// (temperature). The table gives seven digits; factors in bold there are exact, and checked to rounding.
constexpr Row kPublished[] = {
    {"psi", 1.0, "Pa", 6894.757, 5e-4},
    {"inHg", 1.0, "Pa", 3386.389, 5e-4},
    {"mmHg", 1.0, "Pa", 133.3224, 5e-5},
    {"Torr", 1.0, "Pa", 133.3224, 5e-5},
    {"bar", 1.0, "Pa", 1e5, 0.0},
    {"mbar", 1.0, "Pa", 100.0, 0.0},
    {"atm", 1.0, "kPa", 101.325, 1e-13},
    {"kgf/cm2", 1.0, "Pa", 98066.5, 1e-10},
    {"lbf.ft", 1.0, "Nm", 1.355818, 5e-7},
    {"mph", 1.0, "m/s", 0.44704, 1e-16},
    {"mph", 1.0, "km/h", 1.609344, 1e-15},
    {"kn", 1.0, "m/s", 0.5144444, 5e-8},
    {"km/h", 1.0, "m/s", 0.2777778, 5e-8},
    {"lb/min", 1.0, "kg/s", 0.007559873, 5e-10},
    {"lb/h", 1.0, "kg/s", 1.259979e-4, 5e-11},
    {"ft", 1.0, "m", 0.3048, 0.0},
    {"PS", 1.0, "W", 735.4988, 5e-5},
    {"hp", 1.0, "W", 745.6999, 5e-5},
    {"rpm", 1.0, "1/s", 1.0 / 60.0, 0.0},
    {"deg", 1.0, "rad", 0.01745329, 5e-9},
    {"F", 32.0, "C", 0.0, 1e-13},
    {"F", 212.0, "C", 100.0, 1e-12},
    {"K", 273.15, "C", 0.0, 0.0},
    {"C", 20.0, "K", 293.15, 1e-12},
};

TEST(Unit, MatchesThePublishedFactors) {
    for (const Row& row : kPublished) {
        SCOPED_TRACE(row.from);
        const auto convert = conversion(row.from, row.to);
        ASSERT_TRUE(convert);
        EXPECT_NEAR((*convert)(row.reading), row.published, row.half_digit);
        const auto back = conversion(row.to, row.from);
        ASSERT_TRUE(back);
        EXPECT_NEAR((*back)((*convert)(row.reading)), row.reading, 1e-12);
    }
}

TEST(Unit, WholeRatiosAreRoundedOnce) {
    EXPECT_EQ((*conversion("hPa", "kPa"))(985.3), 98.53);
    EXPECT_EQ((*conversion("bar", "kPa"))(2.35), 235.0);
    EXPECT_EQ((*conversion("ms", "s"))(1234.0), 1.234);
    EXPECT_EQ((*conversion("bar", "MPa"))(200.3), 20.03);
    EXPECT_EQ((*conversion("ratio", "%"))(0.25), 25.0);
    EXPECT_TRUE(conversion("rpm", "1/min")->is_identity());
    EXPECT_TRUE(conversion("C", "degC")->is_identity());
    EXPECT_FALSE(conversion("C", "K")->is_identity());
}

TEST(Unit, ReadsSpellingsAsLoggersWriteThem) {
    const std::pair<const char*, const char*> spellings[] = {
        {"\xC2\xB0"
         "C",
         "C"},
        {"\xB0"
         "C",
         "C"},
        {"degC", "C"},
        {"grd C", "C"},
        {"\xE2\x84\x83", "C"},
        {"\xC2\xB0"
         "F",
         "F"},
        {"U/min", "rpm"},
        {"1/min", "rpm"},
        {"min\xE2\x81\xBB\xC2\xB9", "rpm"},
        {"RPM", "rpm"},
        {"KPA", "kPa"},
        {"mg/Hub", "mg"},
        {"mg/stk", "mg"},
        {"\xC2\xB0KW", "deg"},
        {"\xC2\xB0 CA", "deg"},
        {"\xC2\xB0", "deg"},
        {"\xC2\xB5s", "us"},
        {"\xCE\xBCs", "us"},
        {"\xB5s", "us"},
        {"\xCE\xBB", "1"},
        {"-", "1"},
        {"N\xC2\xB7m", "Nm"},
        {"lb-ft", "lbf.ft"},
        {"lbf.ft", "lbf.ft"},
        {"kW", "kW"},
    };
    for (const auto& [text, unit] : spellings) EXPECT_EQ(canonical_unit(text), unit) << text;
}

TEST(Unit, KnowsNothingOfOtherThings) {
    for (const char* text : {"", " ", "AFR", "bar gauge", "psig", "foo", "/", "kPa kPa", "rpm 1/min"})
        EXPECT_FALSE(known_unit(text)) << text;
    EXPECT_FALSE(conversion("kPa", "rpm"));
    EXPECT_FALSE(conversion("deg", "C"));
    EXPECT_FALSE(conversion("kPa", "AFR"));
    EXPECT_FALSE(known_unit(std::string(100'000, ' ') + "kPa"));
}

}  // namespace
}  // namespace revwright
