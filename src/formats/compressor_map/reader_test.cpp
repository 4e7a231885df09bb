#include "formats/compressor_map/reader.h"

#include <gtest/gtest.h>

namespace revwright {
namespace {

const std::string kMap =
    "rpm,kg_s,pressure_ratio,efficiency\n"
    "60000,0.04,1.5,0.62\n60000,0.08,1.4,0.70\n60000,0.12,1.2,0.58\n"
    "90000,0.07,2.2,0.64\n90000,0.12,2.0,0.74\n90000,0.18,1.5,0.57\n";

std::string complaint(const std::string& text) {
    const auto map = compressor_csv::read(text, "map.csv");
    return map ? "" : describe(map.error());
}

void expect_same(const CompressorMap& a, const CompressorMap& b) {
    ASSERT_EQ(a.lines().size(), b.lines().size());
    for (std::size_t l = 0; l < a.lines().size(); ++l) {
        EXPECT_DOUBLE_EQ(a.lines()[l].speed_rpm, b.lines()[l].speed_rpm);
        ASSERT_EQ(a.lines()[l].points.size(), b.lines()[l].points.size());
        for (std::size_t p = 0; p < a.lines()[l].points.size(); ++p) {
            EXPECT_NEAR(a.lines()[l].points[p].flow_kg_s, b.lines()[l].points[p].flow_kg_s, 1e-7);
            EXPECT_DOUBLE_EQ(a.lines()[l].points[p].ratio, b.lines()[l].points[p].ratio);
            EXPECT_NEAR(a.lines()[l].points[p].efficiency, b.lines()[l].points[p].efficiency, 1e-12);
        }
    }
}

TEST(CompressorMapReader, ReadsLinesAndPoints) {
    const auto map = compressor_csv::read(kMap, "map.csv");
    ASSERT_TRUE(map) << describe(map.error());
    ASSERT_EQ(map->lines().size(), 2u);
    EXPECT_EQ(map->lines()[1].speed_rpm, 90000.0);
    ASSERT_EQ(map->lines()[1].points.size(), 3u);
    EXPECT_EQ(map->lines()[1].points[1].ratio, 2.0);
}

// The same map in four hands: order of columns and rows, units, delimiter, decimal comma, comments, byte order mark.
TEST(CompressorMapReader, OneMapInFourDialectsIsOneMap) {
    const auto map = compressor_csv::read(kMap, "map.csv");
    const std::string dialects[] = {
        "\xEF\xBB\xBF# Tolvane T4\r\nEfficiency [%];Pressure ratio;Flow [g/s];Speed [krpm];note\r\n"
        "57;1,5;180;90;choke\r\n62;1,5;40;60;\r\n70;1,4;80;60;\r\n58;1,2;120;60;\r\n64;2,2;70;90;\r\n74;2,0;120;90;"
        "\r\n",
        "rpm\tkg/s\tPR\teta\n60000\t0.04\t1.5\t0.62\n60000\t0.08\t1.4\t0.70\n60000\t0.12\t1.2\t0.58\n"
        "90000\t0.07\t2.2\t0.64\n90000\t0.12\t2.0\t0.74\n\n90000\t0.18\t1.5\t0.57\n",
        "shaft_speed_rpm,corrected_flow_lb_min,pressure_ratio,efficiency\n"
        "60000,5.291096,1.5,0.62\n60000,10.582192,1.4,0.70\n60000,15.873288,1.2,0.58\n"
        "90000,9.259418,2.2,0.64\n90000,15.873288,2.0,0.74\n90000,23.809932,1.5,0.57",
    };
    for (const std::string& dialect : dialects) {
        const auto other = compressor_csv::read(dialect, "other.csv");
        ASSERT_TRUE(other) << describe(other.error());
        expect_same(*map, *other);
    }
}

TEST(CompressorMapReader, RowsWithinOnePercentOfSpeedAreOneLine) {
    const auto map = compressor_csv::read(
        "rpm,kg_s,pressure_ratio,efficiency\n60000,0.04,1.5,0.62\n60300,0.08,1.4,0.70\n90000,0.07,2.2,0.64\n"
        "89800,0.12,2.0,0.74\n",
        "map.csv");
    ASSERT_TRUE(map) << describe(map.error());
    ASSERT_EQ(map->lines().size(), 2u);
    EXPECT_EQ(map->lines()[0].speed_rpm, 60150.0);
}

TEST(CompressorMapReader, BadInputIsRefusedInOneSentenceWithItsPlace) {
    const std::string head = "rpm,kg_s,pressure_ratio,efficiency\n";
    const struct {
        std::string text, says;
    } cases[] = {
        {"", "map.csv:1: expected a header"},
        {"rpm,flow,pressure_ratio,efficiency\n", "map.csv:1:1: expected a column for a flow (kg_s, g/s or lb/min)"},
        {"rpm,krpm,kg_s,pressure_ratio,efficiency\n", "map.csv:1:5: expected a shaft speed (rpm or krpm) once"},
        {head + "60000,0.04,x,0.6\n", "map.csv:2:12: expected a number, found 'x'"},
        {head + "60000,0.04,nan,0.6\n", "map.csv:2:12: expected a number, found 'nan'"},
        {head + "60000,0.04,1.5\n", "map.csv:2: expected an efficiency in cell 4, found 3 cells"},
        {head + "60000,40,1.5,0.6\n", "map.csv:2:7: expected a flow from 0.0001 to 10 kg/s, found 40"},
        {head + "60000,0.04,1.5,62\n", "map.csv:2:16: expected an efficiency from 0.01 to 1, found 62"},
        {head + "60000,0.04,1.5,0.6\n60000,0.04,1.4,0.6\n", "map.csv:3: the flow 0.04 kg/s stands twice"},
        {head + "60000,0.04,1.5,0.6\n60000,0.05,1.4,0.6\n", "two speed lines or more, found 1"},
        {head + "60000,0.04,1.5,0.6\n60000,0.05,1.4,0.6\n70000,0.05,1.7,0.6\n", "needs two points or more, found 1"},
        {head + "60000,0.04,1.5,0.6\n60000,0.05,1.4,0.6\n70000,0.05,1.5,0.6\n70000,0.06,1.3,0.6\n",
         "the speed lines at 60000 and 70000 rpm cross"},
    };
    for (const auto& c : cases) EXPECT_NE(complaint(c.text).find(c.says), std::string::npos) << complaint(c.text);
}

}  // namespace
}  // namespace revwright
