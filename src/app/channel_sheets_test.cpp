#include <cmath>
#include <gtest/gtest.h>

#include "formats/sheets/channel_sheet.h"
#include "formats/sheets/channel_sheet_writer.h"
#include "naming/naming.h"
#include "naming/naming_test_drive.h"

namespace revwright::app {
namespace {

/// Everything a sheet has to keep: units, gauge, signs, scales, names with marks of TOML in them.
Log raw_log() {
    const TestDrive drive;
    TestLog log(drive);
    log.with("Motordrehzahl \"n\"", "1/min", drive.rpm).with("Pedalwert", "%", drive.pedal);
    log.with("Ladedruck", "bar", scaled(drive.boost, 0.01, -1.01325)).with("AFR", "", scaled(drive.lambda, 14.57));
    log.with("Zündwinkel", "°KW", scaled(drive.spark, -1.0)).with("STFT", "", scaled(drive.trim, 0.01, 1.0));
    log.with("Timing correction cylinder 2", "deg", scaled(drive.retard, -1.0));
    log.with("EGT after turbine", "F", scaled(drive.coolant, 12.0)).with("IAT", "", drive.intake);
    const auto inverse = changed(drive.lambda_target, [](double x) { return 1.0 / x; });
    return log.with("Commanded equivalence ratio", "", inverse).log;
}

TEST(ChannelSheets, ASavedSheetNamesTheLogAsBefore) {
    const auto named = name_channels(raw_log(), nullptr);
    ASSERT_TRUE(named) << describe(named.error());
    const std::string text = sheets::write_channel_sheet(*named);
    const auto sheet = sheets::read_channel_sheet(text, "logger.toml");
    ASSERT_TRUE(sheet) << describe(sheet.error()) << "\n" << text;
    EXPECT_EQ(sheet->channels.size(), 9u) << text;
    EXPECT_NE(text.find("# name = \"IAT\""), std::string::npos) << text;
    const auto again = name_channels(raw_log(), &*sheet);
    ASSERT_TRUE(again) << describe(again.error());
    for (std::size_t i = 0; i < named->channels.size(); ++i) {
        EXPECT_EQ(again->channels[i].key, named->channels[i].key) << named->channels[i].name;
        EXPECT_EQ(again->channels[i].values, named->channels[i].values) << named->channels[i].name;
        EXPECT_EQ(again->channels[i].before_turbine, named->channels[i].before_turbine);
    }
}

}  // namespace
}  // namespace revwright::app
