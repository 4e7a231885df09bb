#include "draw/power_drawing.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "draw/sheet.h"
#include "draw/style.h"
#include "model/power_report_test.h"

namespace revwright::draw {
namespace {

using power_report_test::refused_report;
using power_report_test::two_sets;

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

template <class T>
std::vector<T> shapes_with(const Scene& scene, std::string_view style) {
    std::vector<T> found;
    for (const Layer& layer : scene.layers)
        for (const Shape& shape : layer.shapes)
            if (const T* one = std::get_if<T>(&shape); one && one->style == style) found.push_back(*one);
    return found;
}

/// One set, measured by road load alone.
PowerReport one_method() {
    PowerReport report = two_sets();
    report.sets.erase(report.sets.begin());
    report.sets[0].methods.resize(1);
    report.differences.clear();
    report.pulls.clear();
    return report;
}

TEST(PowerDrawing, ThePeakIsMarkedWhereTheCurveIsHighest) {
    const Scene scene = draw_power(two_sets());
    const auto curves = shapes_with<Polyline>(scene, "measured");
    const auto peaks = shapes_with<Circle>(scene, "peak");
    ASSERT_EQ(curves.size(), 3U) << "the key, torque, power";
    ASSERT_EQ(peaks.size(), 2U);
    for (std::size_t i = 0; i < 2; ++i) {
        const auto top = std::ranges::min_element(curves[i + 1].points, {}, &Point::y);
        EXPECT_NEAR(peaks[i].centre.x, top->x, 1e-9);
        EXPECT_NEAR(peaks[i].centre.y, top->y, 1e-9);
    }
    EXPECT_NEAR(peaks[0].centre.x, kPlotLeft + (4200.0 - 2000.0) / 4500.0 * (kPlotRight - kPlotLeft), 1e-9);
}

TEST(PowerDrawing, TheBandIsAsWideAsTheInterval) {
    const PowerReport report = two_sets();
    const Scene scene = draw_power(report);
    const auto curve = shapes_with<Polyline>(scene, "measured").at(1);
    const auto band = shapes_with<Polygon>(scene, "band").at(0);
    const auto& points = report.sets[1].combined->points;
    ASSERT_EQ(band.points.size(), 2 * points.size());
    const double per_nm =
        (curve.points.front().y - curve.points[44].y) / (points[44].torque_nm - points.front().torque_nm);
    const double height = band.points[band.points.size() - 45].y - band.points[44].y;
    EXPECT_NEAR(height / per_nm, 2 * 1.959964 * points[44].torque_sd_nm, 1e-6);
}

TEST(PowerDrawing, SaysFiguresDifferencesAndWhatWasLeftOutInWords) {
    const std::string svg = power_svg(two_sets());
    EXPECT_TRUE(holds(svg, "<title id=\"title\">136.8 kW (132.5 to 141.1) at 6,100 rpm and 248 Nm"));
    EXPECT_TRUE(holds(svg, ">139.7 kW (135.3 to 144.1) at 6,100 rpm</text>"));
    EXPECT_TRUE(holds(svg, ">Left out: pull 4 of revision_1.csv. The gear is not known.</text>"));
    EXPECT_TRUE(holds(svg, ">Stretches that are no pull: 1 part-pedal, 1 shift.</text>"));
    EXPECT_TRUE(holds(svg, "Not combined: control unit. The tables"));
    EXPECT_TRUE(holds(svg, "peak power 7.1 kW (4.9 to 9.3) more"));
    EXPECT_TRUE(holds(svg, "All figures are estimates."));
}

TEST(PowerDrawing, NamesAtTheRightDoNotTouch) {
    const Scene scene = draw_power(two_sets());
    std::vector<Words> labels;
    for (const char* style : {"label", "figure"})
        for (const Words& words : shapes_with<Words>(scene, style))
            if (words.at.x > kPlotRight) labels.push_back(words);
    ASSERT_EQ(labels.size(), 12U) << "combined, three methods, before and the goal, twice";
    std::ranges::sort(labels, {}, [](const Words& words) { return words.at.y; });
    for (std::size_t i = 1; i < labels.size(); ++i)
        EXPECT_GE(labels[i].at.y - labels[i - 1].at.y, 15.9) << labels[i].text;
}

TEST(PowerDrawing, OnlyTheUsedPullsOfTheLastSetAreDots) {
    PowerReport report = two_sets();  // two pulls of 44 dots, in two panels, and three in the key
    EXPECT_EQ(shapes_with<Circle>(draw_power(report), "dot").size(), 2U * 2U * 44U + 3U);
    report.pulls[3].left_out = "wheel slip";
    EXPECT_EQ(shapes_with<Circle>(draw_power(report), "dot").size(), 2U * 44U + 3U);
}

// The curves are corrected, so the pulls have to be; else they would lie beside a curve that fits them.
TEST(PowerDrawing, DotsAreCorrectedAsTheCurvesAre) {
    PowerReport report = two_sets();
    const PowerCurve& measured = *report.sets[1].as_measured;
    report.pulls.resize(3);
    report.pulls[2].quick_view = {measured.points[44]};
    const Scene scene = draw_power(report);
    EXPECT_NEAR(shapes_with<Circle>(scene, "dot").at(3).centre.y, shapes_with<Circle>(scene, "peak").at(0).centre.y,
                1e-6);
}

TEST(PowerDrawing, TheOnlyMethodIsTheCurveItself) {
    const Scene scene = draw_power(one_method());
    EXPECT_TRUE(shapes_with<Polyline>(scene, "method-road-load").empty());
    EXPECT_TRUE(shapes_with<Polyline>(scene, "before").empty());
    const auto labels = shapes_with<Words>(scene, "label");
    EXPECT_EQ(std::ranges::count(labels, "road load", &Words::text), 2);
}

TEST(PowerDrawing, AGoalFarAwayDoesNotFlattenTheCurve) {
    PowerReport report = one_method();
    EXPECT_EQ(shapes_with<Polyline>(draw_power(report), "goal").size(), 2U);
    report.goal.power_kw = 400.0;
    const std::string svg = power_svg(report);
    EXPECT_EQ(shapes_with<Polyline>(draw_power(report), "goal").size(), 1U);
    EXPECT_TRUE(holds(svg, "Goal of 400 kW peak power: not reached"));
}

TEST(PowerDrawing, WithoutACurveItSaysWhyAndThatFirst) {
    const Scene scene = draw_power(refused_report());
    EXPECT_TRUE(shapes_with<Box>(scene, "plot").empty());
    const auto words = shapes_with<Words>(scene, "words");
    ASSERT_FALSE(words.empty());
    EXPECT_TRUE(words[0].text.starts_with("Refused: road load. phone.csv has no time base"));
    EXPECT_TRUE(holds(power_svg({}), "The power cannot be stated."));
}

// Methods that disagree may be left without a combined curve; they are drawn all the same.
TEST(PowerDrawing, MethodsWithoutACombinationAreDrawnAlone) {
    PowerReport report = two_sets();
    report.sets[1].combined.reset();
    report.sets[1].as_measured.reset();
    const Scene scene = draw_power(report);
    EXPECT_EQ(shapes_with<Polyline>(scene, "method-air-flow").size(), 2U);
    EXPECT_TRUE(shapes_with<Polyline>(scene, "measured").empty());
    EXPECT_TRUE(shapes_with<Circle>(scene, "peak").empty());
}

TEST(PowerDrawing, SameReportSameBytes) { EXPECT_EQ(power_svg(two_sets()), power_svg(two_sets())); }

// In a copy in grey the methods still differ: by their dashes.
TEST(PowerDrawing, MethodsDifferByTheirDashes) {
    const std::vector<std::string_view> names{"method-road-load",    "method-dynamometer", "method-air-flow",
                                              "method-control-unit", "measured",           "goal"};
    for (std::size_t i = 0; i < names.size(); ++i)
        for (std::size_t j = i + 1; j < names.size(); ++j)
            EXPECT_NE(style(names[i]).dashes, style(names[j]).dashes) << names[i] << " and " << names[j];
}

}  // namespace
}  // namespace revwright::draw
