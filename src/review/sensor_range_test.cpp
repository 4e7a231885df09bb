#include <cmath>
#include <gtest/gtest.h>

#include "review/checks_test_log.h"

namespace revwright {
namespace {

using testing::accusations;
using testing::review_log;
using testing::TestDrive;
using testing::unchecked;
using testing::worst;

Log clean_log() {
    TestDrive drive;
    drive.clean_pulls(2);
    return drive.log();
}

void cut_off(Log& log, Signal signal, double end, double step) {
    for (Channel& channel : log.channels)
        if (channel.key->signal == signal)
            for (double& value : channel.values) value = std::min(end, step * std::round(value / step));
}

TEST(SensorRange, APressureThatIsCutOffIsSensorRangeAndNothingElse) {
    Log log = clean_log();
    cut_off(log, Signal::boost_pressure_kpa, 190.0, 0.1);
    const Review found = review_log(log);
    ASSERT_TRUE(worst(found, "sensor-range")) << accusations(found);
    const Finding& range = *worst(found, "sensor-range");
    EXPECT_EQ(range.severity, Severity::watch);
    EXPECT_EQ(range.value, 100.0);
    EXPECT_EQ(range.limit, 97.0);
    EXPECT_NE(range.text.find("cut off at 190 kPa"), std::string::npos) << range.text;
    EXPECT_NE(range.text.find("boost-steady"), std::string::npos) << range.text;
    for (const Finding& other : found.findings)
        EXPECT_TRUE(other.check == "sensor-range" || other.severity == Severity::clear)
            << "a pressure that is cut off is not low boost: " << other.text;
}

TEST(SensorRange, AnAirMeterAtItsLastCountIsNamedSo) {
    Log log = clean_log();
    const double step = 0.15;
    cut_off(log, Signal::air_mass_flow_g_s, 1023.0 * step, step);
    const Review found = review_log(log);
    ASSERT_TRUE(worst(found, "sensor-range")) << accusations(found);
    EXPECT_NE(worst(found, "sensor-range")->text.find("largest number 10 bits hold"), std::string::npos)
        << worst(found, "sensor-range")->text;
}

TEST(SensorRange, WithoutAPlateauTheRangeIsNotKnown) {
    const Review found = review_log(clean_log());
    EXPECT_FALSE(worst(found, "sensor-range"));
    ASSERT_TRUE(unchecked(found, "sensor-range"));
    EXPECT_EQ(unchecked(found, "sensor-range")->standing, Standing::where_fitted);
    EXPECT_TRUE(unchecked(found, "sensor-range")->missing.empty()) << "no channel would cure it";
}

}  // namespace
}  // namespace revwright
