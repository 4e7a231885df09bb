#include "wire/parameters_json.h"

#include <gtest/gtest.h>
#include <limits>
#include <nlohmann/json.hpp>

namespace revwright::wire {
namespace {

using Kind = ParameterDescription::Kind;

nlohmann::json one(const ReadParameter& read) {
    return nlohmann::json::parse(parameters_json({{}, {read}}, {}, ""))["tables"][0];
}

TEST(ParametersJson, CellsNestInTheOrderOfTheAxes) {
    const auto json = one({.name = "K",
                           .kind = Kind::cuboid,
                           .shape = {2, 1, 2},
                           .values = {1, 2, 3, std::numeric_limits<double>::quiet_NaN()},
                           .raw = {1, 2, 3, 12345678901234.0}});
    EXPECT_EQ(json["values"].dump(), "[[[1,2]],[[3,null]]]");
    EXPECT_EQ(json["raw"].dump(), "[[[1,2]],[[3,12345678901234]]]");
    EXPECT_EQ(json["kind"], "cuboid");
}

TEST(ParametersJson, AnUnknownAxisKeepsItsInputAndUnit) {
    const auto json = one({.name = "K",
                           .kind = Kind::curve,
                           .unit = "km/h",
                           .shape = {2},
                           .axes = {{.input = "VX", .unit = "km/h", .values = {1, 2}, .raw = {10, 20}}},
                           .values = {5, 6},
                           .raw = {5, 6},
                           .writable = true});
    EXPECT_EQ(json["axes"][0].dump(), R"({"input":"VX","quantity":null,"unit":"km/h","values":[1,2]})");
    EXPECT_TRUE(json["quantity"].is_null());
    EXPECT_TRUE(json["why_not"].is_null());
}

TEST(ParametersJson, WordsTextsAndWhatIsNotRead) {
    EXPECT_EQ(one({.name = "W", .shape = {2}, .words = {"on", std::nullopt}, .raw = {1, 7}})["values"].dump(),
              R"(["on",null])");
    EXPECT_EQ(one({.name = "T", .kind = Kind::text, .text = "ARDEN"})["values"], "ARDEN");
    const auto lost = one({.name = "L", .shape = {4}, .why_not = "it lies outside"});
    EXPECT_TRUE(lost["values"].is_null());
    EXPECT_TRUE(lost["raw"].is_null());
    EXPECT_EQ(lost["why_not"], "it lies outside");
}

}  // namespace
}  // namespace revwright::wire
