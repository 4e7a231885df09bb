#include "cli/text/power_text.h"

#include <gtest/gtest.h>

#include "model/power_report_test.h"
#include "model/power_words.h"

namespace revwright::cli::text {
namespace {

using power_report_test::refused_report;
using power_report_test::two_sets;

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(PowerText, BeginsWithTheFiguresAsMeasuredThenTheCorrectedOnes) {
    const std::string text = power_text(two_sets());
    EXPECT_TRUE(
        text.starts_with("136.8 kW (132.5 to 141.1) at 6,100 rpm and 248 Nm (240 to 256) at 4,200 rpm, as "
                         "measured with\nrevision_1.bin.\n"))
        << text;
    EXPECT_TRUE(holds(text, "Corrected to ISO 1585 by 1.021: 139.7 kW (135.3 to 144.1)"));
    EXPECT_TRUE(holds(text, "Most of the interval comes from the mass of the car"));
}

TEST(PowerText, AMethodSaysWhetherItIsCombinedAndARefusedOneWhy) {
    const std::string text = power_text(two_sets());
    EXPECT_TRUE(
        holds(text, "  air flow        137.6  129.5 to 145.7    6100      249  235 to 264    4200  combined\n"));
    EXPECT_TRUE(holds(text, "control unit stands apart: The tables that"));
    EXPECT_TRUE(holds(text, "dynamometer: No log was driven on a dynamometer."));
}

TEST(PowerText, TorqueStandsEvery500RpmWithWhatWasGained) {
    const std::string text = power_text(two_sets());
    EXPECT_TRUE(holds(text, "  2000  203 ±6   42.4                           9.8 ±2.9\n")) << text;
    EXPECT_TRUE(holds(text, "  6500  198 ±6  135.1"));
    EXPECT_FALSE(holds(text, "  2050  2")) << "not every point of the curve";
}

TEST(PowerText, TheTwoAccuraciesStandApart) {
    const std::string text = power_text(two_sets());
    EXPECT_TRUE(holds(text, "Absolute accuracy is ±3.1 %. Between the two it is ±1.4 %"));
    EXPECT_TRUE(holds(text, "peak power 7.1 kW"));
}

TEST(PowerText, AGainWhoseIntervalHoldsNoneIsNoGain) {
    PowerReport report = two_sets();
    report.differences[0].peak_power_kw = 0.8;
    report.differences[0].peak_power_interval_kw = {-1.4, 3.0};
    report.differences[0].peak_torque_nm = -6.0;
    report.differences[0].peak_torque_interval_nm = {-9.0, -3.0};
    const std::string words = difference_in_words(report, report.differences[0]);
    EXPECT_TRUE(holds(words, "peak power +0.8 kW (-1.4 to 3.0), which may be none")) << words;
    EXPECT_TRUE(holds(words, "peak torque 6.0 Nm (3.0 to 9.0) less")) << words;
}

TEST(PowerText, AGoalIsJudgedByTheWholeInterval) {
    PowerReport report = two_sets();  // 135.3 to 144.1 kW
    const auto said = [&report](double kw) {
        report.goal.power_kw = kw;
        return goals_in_words(report).at(0);
    };
    EXPECT_EQ(said(130.0), "Goal of 130 kW peak power: exceeded, by 5.3 kW at least.");
    EXPECT_EQ(said(140.0), "Goal of 140 kW peak power: reached within the interval; nothing closer can be said.");
    EXPECT_EQ(said(150.0), "Goal of 150 kW peak power: not reached, 5.9 kW short at least.");
    report.sets.back().combined.reset();
    EXPECT_EQ(said(150.0), "Goal of 150 kW peak power: it cannot be told whether it is reached.");
}

TEST(PowerText, WhereNothingCouldBeStatedTheReasonsComeFirst) {
    const std::string text = power_text(refused_report());
    EXPECT_TRUE(
        text.starts_with("The power with an image that is not named cannot be stated.\n\nRefused\n  road load: "))
        << text;
    EXPECT_FALSE(holds(text, " 0.0")) << "no figure of nothing";
}

TEST(PowerText, SaysWhichPullsWereUsedAndTheCautionsOnce) {
    const std::string text = power_text(two_sets());
    EXPECT_TRUE(holds(text, "     3  revision_1.csv  revision_1.bin      back       3      2050    6450"));
    EXPECT_TRUE(holds(text, "pull 4 of revision_1.csv: The gear is not known."));
    EXPECT_TRUE(holds(text, "Drag area taken as 0.65 m2"));
    EXPECT_EQ(text.find("Cautions"), text.rfind("Cautions"));
    EXPECT_TRUE(holds(text, "Cautions"));
}

TEST(PowerText, WhatHardlyHelpsIsNoRemedy) {
    PowerReport report = two_sets();
    EXPECT_TRUE(holds(power_text(report), "weigh the car as driven, to 5 kg "));
    report.sets.back().remedies = {{"the tyres", "measure the tyres", 0.004, 4.3}};
    EXPECT_FALSE(holds(power_text(report), "measure the tyres"));
}

TEST(PowerText, APeakAtAnEndOfItsCurveSaysThatMoreMayLieBeyond) {
    PowerReport report = two_sets();
    EXPECT_FALSE(holds(power_text(report), "may be higher"));
    PowerCurve& curve = *report.sets.back().as_measured;
    curve.torque_nm.engine_speed_rpm = curve.points.front().engine_speed_rpm;
    EXPECT_TRUE(holds(power_text(report), "Torque is highest where the curve begins, at 2,000 rpm, and may be higher"));
    curve.power_kw.engine_speed_rpm = curve.points.back().engine_speed_rpm;
    EXPECT_TRUE(holds(power_text(report), "Power is highest where the pulls end"));
}

TEST(PowerText, CoastingIsShownWithWhatItTold) {
    PowerReport report = two_sets();
    EXPECT_FALSE(holds(power_text(report), "coasting"));
    report.coastdown = PowerCoastdown{.stretches = {{.start_s = 5.0, .end_s = 60.0, .from_km_h = 112, .to_km_h = 40}},
                                      .resistance = {{80.0, 517.0, 5.0}}};
    EXPECT_TRUE(holds(power_text(report), "517 N ±10 at 80 km/h"));
    report.coastdown->refused = "something pushes the car";
    EXPECT_TRUE(holds(power_text(report), "Not used: something pushes the car."));
    EXPECT_FALSE(holds(power_text(report), "517 N"));
}

}  // namespace
}  // namespace revwright::cli::text
