#include "formats/sheets/channel_sheet.h"

#include <gtest/gtest.h>

#include "formats/sheets/sheet_testing.h"

namespace revwright::sheets {
namespace {

constexpr const char* kChannels = R"(schema = "revwright.channels/1"
[[channel]]
name = "Ladedruck rel."
is = "boost_pressure_kpa"
unit = "bar gauge"
[[channel]]
name = "Retard cyl 2"
is = "knock_retard_deg.2"
sign = -1
[[channel]]
name = "EGT"
is = "exhaust_temp_c"
unit = "°C"
before_turbine = false
)";

TEST(ChannelSheet, ReadsWhatEachChannelIs) {
    const Result<ChannelSheet> sheet = read_channel_sheet(kChannels, "sheet.toml");
    ASSERT_TRUE(sheet) << describe(sheet.error());
    ASSERT_EQ(sheet->channels.size(), 3u);
    const ChannelRule& boost = sheet->channels[0];
    EXPECT_EQ(boost.name, "Ladedruck rel.");
    EXPECT_EQ(boost.is, (ChannelKey{Signal::boost_pressure_kpa, 0}));
    EXPECT_EQ(boost.unit, "bar");
    EXPECT_TRUE(boost.gauge);
    EXPECT_EQ(boost.sign, 1.0);
    EXPECT_EQ(boost.where.line, 2u);
    const ChannelRule& retard = sheet->channels[1];
    EXPECT_EQ(retard.is, (ChannelKey{Signal::knock_retard_deg, 2}));
    EXPECT_EQ(retard.sign, -1.0);
    EXPECT_EQ(retard.unit, "");
    EXPECT_FALSE(retard.gauge);
    EXPECT_EQ(sheet->channels[2].unit, "°C");
    EXPECT_FALSE(sheet->channels[2].before_turbine);
}

TEST(ChannelSheet, GaugeAloneLeavesTheUnitToTheLog) {
    const Result<ChannelSheet> sheet = read_channel_sheet(
        "schema = \"revwright.channels/1\"\nchannel = [{ name = \"MAP\", is = \"manifold_pressure_kpa\", unit = "
        "\"gauge\" }]",
        "sheet.toml");
    ASSERT_TRUE(sheet) << describe(sheet.error());
    EXPECT_TRUE(sheet->channels.at(0).gauge);
    EXPECT_EQ(sheet->channels.at(0).unit, "");
}

TEST(ChannelSheet, AChannelMayBeNoneOrOptionalOrAnAirFuelRatio) {
    const Result<ChannelSheet> sheet = read_channel_sheet(
        "schema = \"revwright.channels/1\"\nchannel = [{ name = \"X\", is = \"none\" }, { name = \"Y\", is = "
        "\"gear\", optional = true }, { name = \"Z\", is = \"lambda\", unit = \"AFR\", air_fuel_stoichiometric = 14.7 "
        "}]",
        "sheet.toml");
    ASSERT_TRUE(sheet) << describe(sheet.error());
    EXPECT_TRUE(sheet->channels.at(0).none_of_ours);
    EXPECT_FALSE(sheet->channels[0].optional);
    EXPECT_TRUE(sheet->channels.at(1).optional);
    EXPECT_EQ(sheet->channels.at(2).unit, "AFR");
    EXPECT_EQ(sheet->channels[2].air_fuel_stoichiometric, 14.7);
}

constexpr Spoilt kRefused[] = {
    {"schema = \"revwright.channels/1\"", "^",
     "schema is missing, the first line must be schema = \"revwright.channels/1\""},
    {"[[channel]]\nname = \"Ladedruck rel.\"", "^[[channel]]", "channel needs name, found none"},
    {"name = \"EGT\"", "name = ^\"Retard cyl 2\"",
     "channel.name must be unique, found \"Retard cyl 2\" again after line 6"},
    {"is = \"boost_pressure_kpa\"", "is = ^\"boost_presure_kpa\"",
     "channel.is must be a canonical channel, found \"boost_presure_kpa\"; did you mean \"boost_pressure_kpa\"?"},
    {"is = \"knock_retard_deg.2\"", "is = ^\"lambda.3\"",
     "channel.is must be a canonical channel, found \"lambda.3\"; did you mean \"lambda\"?"},
    {"sign = -1", "sign = ^-2", "channel.sign must be 1 or -1, found -2"},
    {"sign = -1", "sign = -1\nunit = ^\"deg gauge\"",
     "channel.unit may say gauge for a pressure only, found \"deg gauge\" for knock_retard_deg.2"},
    {"sign = -1", "before_turbine = ^true",
     "channel.before_turbine belongs to exhaust_temp_c only, found beside knock_retard_deg.2"},
    {"sign = -1", "unit = ^\"AFR\"", "channel.unit may be \"AFR\" for lambda only, found it for knock_retard_deg.2"},
    {"sign = -1", "air_fuel_stoichiometric = ^14.7",
     "channel.air_fuel_stoichiometric belongs beside unit = \"AFR\" only"},
    {"sign = -1", "^sing = -1", "unknown key \"sing\" in channel; did you mean \"sign\"?"},
};

TEST(ChannelSheet, RefusesWhatItCannotMean) { expect_refused(read_channel_sheet, kChannels, kRefused); }

}  // namespace
}  // namespace revwright::sheets
