#include "formats/sheets/tyre.h"

#include <gtest/gtest.h>

namespace revwright::sheets {
namespace {

struct Row {
    const char* size;
    double diameter_mm, circumference_mm;
};

// Circumference = 3.05 x D, D = 25.4 rim + 2 width x aspect (ETRTO factor for radials as used by the European
// Commission's JRC; worked out by hand from it, half the last digit).
constexpr Row kRows[] = {
    {"195/65R15", 634.50, 1935.22}, {"205/55R16", 631.90, 1927.29}, {"225/45R17", 634.30, 1934.61},
    {"225/40R18", 637.20, 1943.46}, {"235/35R19", 647.10, 1973.65},
};

TEST(Tyre, RollsTheCircumferenceOfItsSize) {
    for (const Row& row : kRows) {
        SCOPED_TRACE(row.size);
        const Result<Tyre> tyre = read_tyre(row.size);
        ASSERT_TRUE(tyre) << tyre.error().what;
        EXPECT_NEAR(diameter_m(*tyre) * 1e3, row.diameter_mm, 0.005);
        EXPECT_NEAR(rolling_circumference_m(*tyre) * 1e3, row.circumference_mm, 0.00501);  // 1927.295 is a tie
    }
}

// Diameters in inches of a public tyre calculator's example: 24.196850 in and 22.677165 in.
TEST(Tyre, AgreesWithAPublicExampleInInches) {
    EXPECT_NEAR(diameter_m(*read_tyre("185/70R14")) / 0.0254, 24.196850, 5e-7);
    EXPECT_NEAR(diameter_m(*read_tyre("195/50R15")) / 0.0254, 22.677165, 5e-7);
}

TEST(Tyre, ReadsTheServiceDescriptionInEveryWriting) {
    for (const char* text :
         {"225/45 R18 95Y", "225/45R18 95Y", "225/45R1895Y", "225/45 ZR 18 (95Y)", " 225 / 45 r18 95y "}) {
        SCOPED_TRACE(text);
        const Result<Tyre> tyre = read_tyre(text);
        ASSERT_TRUE(tyre) << tyre.error().what;
        EXPECT_EQ(tyre->width_mm, 225);
        EXPECT_EQ(tyre->aspect_pct, 45);
        EXPECT_EQ(tyre->rim_in, 18.0);
        EXPECT_EQ(tyre->load_index, 95);
        EXPECT_EQ(tyre->speed_symbol, "Y");
    }
}

TEST(Tyre, RefusesWhatIsNoRadialTyre) {
    for (const char* text : {"", "225", "225/45", "225/45 18", "225/45 R", "225/45 R18 95Y extra", "225/45 R18 (95Y",
                             "225/45 D18", "22.5/45 R18", "-225/45 R18", "1e3/45 R18", "225/45 R18 (95)"}) {
        SCOPED_TRACE(text);
        EXPECT_FALSE(read_tyre(text));
    }
    EXPECT_EQ(read_tyre("2250/45 R18").error().what, "tyre.width_mm must lie between 105 and 455, found 2250");
}

}  // namespace
}  // namespace revwright::sheets
