#include "wire/power_json.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <set>

#include "model/power_report_test.h"

namespace revwright::wire {
namespace {

using nlohmann::json;
using power_report_test::refused_report;
using power_report_test::two_sets;

json written(const PowerReport& report) { return json::parse(power_json(report)); }

std::set<std::string> keys_of(const json& object) {
    std::set<std::string> keys;
    for (const auto& [key, value] : object.items()) keys.insert(key);
    return keys;
}

TEST(PowerJson, TheTopLevelIsTheLastSet) {
    const PowerReport report = two_sets();
    const json top = written(report);
    EXPECT_EQ(top["schema"], "revwright.power/1");
    EXPECT_EQ(top["image"], "revision_1.bin");
    EXPECT_EQ(top["image_sha256"], std::string(64, '0'));
    EXPECT_EQ(top["reference"], "ISO 1585");
    EXPECT_EQ(top["correction_factor"], 1.021);
    const PowerPeak& peak = report.sets[1].combined->power_kw;
    EXPECT_NEAR(top["combined"]["peak_power_kw"].get<double>(), peak.value, 1e-6);
    EXPECT_NEAR(top["combined"]["peak_power_interval_kw"][1].get<double>(), peak.interval.high, 1e-6);
    EXPECT_EQ(top["combined"]["peak_power_rpm"], peak.engine_speed_rpm);
    EXPECT_NEAR(top["as_measured"]["peak_torque_nm"].get<double>() * 1.021,
                top["combined"]["peak_torque_nm"].get<double>(), 1e-6);
    EXPECT_EQ(top["as_measured"]["curve"].size(), report.sets[1].as_measured->points.size());
    EXPECT_EQ(top["agreement"]["birge_ratio"], 0.84);
}

TEST(PowerJson, AMethodOutsideTheCombinationSaysWhy) {
    const json methods = written(two_sets())["methods"];
    ASSERT_EQ(methods.size(), 3U);
    EXPECT_EQ(methods[0]["method"], "road-load");
    EXPECT_TRUE(methods[0]["combined"]);
    EXPECT_TRUE(methods[0]["why_not"].is_null());
    EXPECT_FALSE(methods[2]["combined"]);
    EXPECT_EQ(methods[2]["why_not"], two_sets().sets[1].methods[2].why_not);
}

TEST(PowerJson, AnEarlierSetHasTheSameFieldsAndTheDifferenceItsNumber) {
    const json top = written(two_sets());
    ASSERT_EQ(top["other_sets"].size(), 1U);
    const json& earlier = top["other_sets"][0];
    for (const auto& key : keys_of(earlier)) EXPECT_TRUE(top.contains(key)) << key;
    EXPECT_EQ(earlier["set"], 0);
    EXPECT_EQ(earlier["image"], "the standard image");
    const json& gain = top["differences"][0];
    EXPECT_EQ(gain["from"], earlier["set"]);
    EXPECT_EQ(gain["to"], top["set"]);
    EXPECT_EQ(gain["peak_power_gain_interval_kw"].dump(), "[4.9,9.3]");
    EXPECT_EQ(gain["repeatability_pct"], 1.4);
    EXPECT_NEAR(gain["gain"][44]["torque_nm"].get<double>(), 12.0, 1e-9) << "at 4,200 rpm, where both peak";
}

TEST(PowerJson, APullIsUsedOrSaysWhyNot) {
    const json pulls = written(two_sets())["pulls"];
    EXPECT_TRUE(pulls[2]["used"]);
    EXPECT_TRUE(pulls[2]["left_out"].is_null());
    EXPECT_EQ(pulls[2]["log"], "revision_1.csv");
    EXPECT_EQ(pulls[2]["gear"], 3);
    EXPECT_EQ(pulls[2]["quick_view"].size(), 44U);
    EXPECT_FALSE(pulls[4]["used"]);
    EXPECT_EQ(pulls[4]["left_out"], "The gear is not known.");
    EXPECT_TRUE(pulls[4]["speed_from_rpm"].is_null()) << "0 would be a speed";
    EXPECT_EQ(written(two_sets())["excluded"][0]["reason"], "shift");
}

TEST(PowerJson, WhatCouldNotBeStatedIsNull) {
    const json top = written(refused_report());
    for (const char* key : {"combined", "as_measured", "agreement", "air", "image_sha256", "in_one_sentence"})
        EXPECT_TRUE(top[key].is_null()) << key;
    EXPECT_EQ(top["methods"].size(), 0U);
    EXPECT_EQ(top["refused"][0]["method"], "road-load");
    EXPECT_EQ(top["goal"].dump(), R"({"power_kw":150,"torque_nm":null})");
}

TEST(PowerJson, AReportWithoutASetHasTheSameKeys) {
    const json empty = written({});
    EXPECT_EQ(keys_of(empty), keys_of(written(two_sets())));
    EXPECT_TRUE(empty["reference"].is_null());
    EXPECT_TRUE(empty["differences"].empty());
}

TEST(PowerJson, SameReportSameBytes) { EXPECT_EQ(power_json(two_sets()), power_json(two_sets())); }

TEST(PowerJson, CoastingHasFiguresWhereItToldSome) {
    PowerReport report = two_sets();
    EXPECT_TRUE(written(report)["coastdown"].is_null());
    report.coastdown = PowerCoastdown{.stretches = {{.start_s = 5.0, .end_s = 60.0, .speed_of = "gnss_speed_km_h"}},
                                      .a_n = 210.0,
                                      .resistance = {{80.0, 517.0, 5.0}}};
    EXPECT_EQ(written(report)["coastdown"]["a_n"], 210.0);
    EXPECT_EQ(written(report)["coastdown"]["resistance"][0]["force_n"], 517.0);
    report.coastdown->refused = "something pushes the car";
    report.coastdown->resistance.clear();
    EXPECT_TRUE(written(report)["coastdown"]["a_n"].is_null());
    EXPECT_EQ(written(report)["coastdown"]["refused"], "something pushes the car");
}

}  // namespace
}  // namespace revwright::wire
