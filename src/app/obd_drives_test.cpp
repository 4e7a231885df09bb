#include <filesystem>
#include <gtest/gtest.h>
#include <string>

#include "app/open_log.h"

namespace revwright::app {
namespace {

// Three drives of a naturally aspirated car through its diagnostic interface at about 1 Hz, names in capitals and no
// unit anywhere. They are no part of this project: the folder stands beside it where they are at hand.
const std::filesystem::path kDrives = "../shared/data/obd-drives";  // tests run in the project's root

struct Row {
    const char* name;
    const char* is;  // "" = none of ours
};

constexpr Row kTruth[] = {
    {"ENGINE_RPM", "engine_speed_rpm"},
    {"VEHICLE_SPEED", "vehicle_speed_km_h"},
    {"THROTTLE", "throttle_pct"},
    {"PEDAL_D", "pedal_pct"},
    {"PEDAL_E", ""},
    {"COOLANT_TEMPERATURE", "coolant_temp_c"},
    {"LONG_TERM_FUEL_TRIM_BANK_1", "trim_long_pct"},
    {"SHORT_TERM_FUEL_TRIM_BANK_1", "trim_short_pct"},
    {"INTAKE_MANIFOLD_PRESSURE", "manifold_pressure_kpa"},
    {"ABSOLUTE_BAROMETRIC_PRESSURE", "ambient_pressure_kpa"},
    {"INTAKE_AIR_TEMP", "intake_temp_c"},
    {"TIMING_ADVANCE", "spark_deg"},
    {"CONTROL_MODULE_VOLTAGE", "battery_v"},
    {"FUEL_TANK", ""},
    {"ENGINE_LOAD", ""},                     // a share of the torque to be had, not charge: asked for
    {"FUEL_AIR_COMMANDED_EQUIV_RATIO", ""},  // reads 0 throughout
    {"CATALYST_TEMPERATURE_BANK1_SENSOR1", ""},
    {"CATALYST_TEMPERATURE_BANK1_SENSOR2", ""},
    {"COMMANDED_THROTTLE_ACTUATOR", ""},
    {"ABSOLUTE_THROTTLE_B", ""},
    {"RELATIVE_THROTTLE_POSITION", ""},
    {"TIME_SINCE_TROUBLE_CODES_CLEARED", ""},
};

TEST(ObdDrives, AreNamedFromCapitalsWithoutUnits) {
    if (!std::filesystem::exists(kDrives)) GTEST_SKIP() << "the drives are not beside the project";
    for (const char* file : {"drive9.csv", "idle1.csv", "ufpe1.csv"}) {
        SCOPED_TRACE(file);
        const auto log = open_log(kDrives / file, {});
        ASSERT_TRUE(log) << describe(log.error());
        std::size_t found = 0;
        for (const auto& [name, is] : kTruth)
            for (const Channel& channel : log->channels) {
                if (!channel.name.starts_with(name) || channel.name.size() > std::string(name).size() + 3) continue;
                ++found;
                EXPECT_EQ(channel.key ? to_string(*channel.key) : "", is) << channel.name << ": " << channel.doubt;
            }
        EXPECT_EQ(found, std::size(kTruth));
    }
}

}  // namespace
}  // namespace revwright::app
