#include "app/parameter_quantities.h"

#include <gtest/gtest.h>

namespace revwright::app {
namespace {

ParameterSet curve(std::string name, std::string explained, std::string unit, std::string input = "",
                   std::string input_explained = "", std::string input_unit = "") {
    ParameterSet set{.file = "car.a2l"};
    set.inputs[input] = {input, input_explained, input_unit};
    set.parameters.push_back({.name = std::move(name),
                              .explained = std::move(explained),
                              .kind = ParameterDescription::Kind::curve,
                              .unit = std::move(unit),
                              .axes = {{.input = input, .unit = input_unit}}});
    return set;
}

ParameterQuantities found(const ParameterSet& set, const ImageEntry& entry = {}) {
    const auto all = parameter_quantities(set, entry, "job.toml");
    EXPECT_TRUE(all) << all.error().what;
    return all ? all->at(0) : ParameterQuantities{};
}

std::optional<ChannelKey> key(Signal signal) { return ChannelKey{signal}; }

TEST(ParameterQuantities, WordsAndUnitTell) {
    const auto known = found(curve("LAMSOLL", "Lambda target", "", "NMOT", "engine speed", "1/min"));
    EXPECT_EQ(known.cells, key(Signal::lambda_target));
    EXPECT_EQ(known.axes.at(0), key(Signal::engine_speed_rpm));
}

TEST(ParameterQuantities, TheUnitMustBeOneOfTheChannel) {
    EXPECT_FALSE(found(curve("K", "Lambda target", "", "NMOT", "engine speed", "km/h")).axes.at(0));
    EXPECT_FALSE(found(curve("K", "Lambda target", "kPa")).cells);
}

TEST(ParameterQuantities, APressureIsTakenOnlyWhereItIsAbsolute) {
    EXPECT_FALSE(found(curve("K", "Boost pressure target", "hPa")).cells);
    EXPECT_FALSE(found(curve("K", "Relative boost pressure target", "hPa")).cells);
    EXPECT_EQ(found(curve("K", "Absolute boost pressure target", "hPa")).cells, key(Signal::boost_target_kpa));
}

TEST(ParameterQuantities, NameAndIdentifierThatDisagreeTellNothing) {
    EXPECT_FALSE(found(curve("coolant temperature", "oil temperature", "C")).cells);
    EXPECT_EQ(found(curve("coolant temperature", "coolant temperature", "C")).cells, key(Signal::coolant_temp_c));
}

TEST(ParameterQuantities, TheJobSheetSpeaksFirst) {
    ImageEntry entry;
    entry.quantities = {{"KL", {Signal::spark_deg}}, {"N1", {Signal::engine_speed_rpm}}};
    auto known = found(curve("KL", "Lambda target", "deg", "N1", "", "rpm"), entry);
    EXPECT_EQ(known.cells, key(Signal::spark_deg));
    EXPECT_EQ(known.axes.at(0), key(Signal::engine_speed_rpm));
    entry.quantities = {{"KL.axis0", {Signal::turbo_speed_rpm}}, {"N1", {Signal::engine_speed_rpm}}};
    EXPECT_EQ(found(curve("KL", "", "deg", "N1", "", "rpm"), entry).axes.at(0), key(Signal::turbo_speed_rpm));
}

TEST(ParameterQuantities, WhatTheJobSheetSaysMustBePossible) {
    ImageEntry entry;
    entry.quantities = {{"KL", {Signal::boost_target_kpa}}};
    const auto gauge = parameter_quantities(curve("KL", "", "bar gauge"), entry, "job.toml");
    ASSERT_FALSE(gauge);
    EXPECT_EQ(
        gauge.error().what,
        "image.quantities says KL is boost_target_kpa, but the description gives it in bar gauge, which can not be "
        "turned into kPa");
    entry.quantities = {{"NONE", {Signal::spark_deg}}};
    EXPECT_FALSE(parameter_quantities(curve("KL", "", "deg"), entry, "job.toml"));
}

}  // namespace
}  // namespace revwright::app
