#include "draw/pull_drawing.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "draw/panel.h"
#include "draw/svg.h"

namespace revwright::draw {
namespace {

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// A lambda panel from 2,000 to 6,000 rpm with its floor, and a finding in the middle.
PullPicture lean_pull() {
    PicturePanel panel{.name = "Lambda"};
    PictureLine line{.name = "measured"};
    for (int rpm = 2000; rpm <= 6000; rpm += 100) {
        line.speed_rpm.push_back(rpm);
        line.values.push_back(rpm == 4000 ? 0.95 : 0.85);
    }
    panel.lines.push_back(line);
    panel.limits = {{"mend 0.92", Severity::mend, 0.92, true}};
    panel.marks = {{1, Severity::mend, 4000.0, 0.95, "mend, lambda-lean: 0.03 over the limit of 0.92 at 4,000 rpm"}};
    return {.title = "Pull 0: the next revision must mend lambda-lean.",
            .facts = "run.csv",
            .speed_from_rpm = 2000.0,
            .speed_to_rpm = 6000.0,
            .panels = {panel},
            .cautions = "All figures are estimates."};
}

template <class T>
std::vector<T> all_of(const Scene& scene, std::string_view style) {
    std::vector<T> found;
    for (const Layer& layer : scene.layers)
        for (const Shape& shape : layer.shapes)
            if (const T* one = std::get_if<T>(&shape); one && one->style == style) found.push_back(*one);
    return found;
}

TEST(PullDrawing, TheWorstPointIsMarkedWhereItLies) {
    const Scene scene = draw_pull(lean_pull());
    const auto lines = all_of<Polyline>(scene, "measured");
    ASSERT_EQ(lines.size(), 2U) << "the key and the pull";
    const auto peak = std::ranges::min_element(lines[1].points, {}, &Point::y);
    const auto numbers = all_of<Words>(scene, "number-mend");
    ASSERT_EQ(numbers.size(), 2U) << "beside its words and in the plot";
    EXPECT_NEAR(numbers[1].at.x, peak->x, 1e-9);
    EXPECT_NEAR(numbers[1].at.x, (kPlotLeft + kPlotRight) / 2.0, 1e-9) << "4,000 is the middle of 2,000 to 6,000 rpm";
    EXPECT_NEAR(numbers[1].at.y, peak->y, 5.0);
}

TEST(PullDrawing, SaysItsMarginAndCautionsInWords) {
    const std::string svg = pull_svg(lean_pull());
    EXPECT_TRUE(holds(svg, ">mend, lambda-lean: 0.03 over the limit of 0.92 at 4,000 rpm</text>"));
    EXPECT_TRUE(holds(svg, "<desc id=\"description\">run.csv Lambda: mend, lambda-lean")) << "for a screen reader";
    EXPECT_TRUE(holds(svg, ">All figures are estimates.</text>"));
}

TEST(PullDrawing, WhatIsPastALimitIsHatchedFromTheLimitToTheEdge) {
    const Scene scene = draw_pull(lean_pull());
    const auto past = all_of<Box>(scene, "past-mend");
    ASSERT_EQ(past.size(), 2U);
    const auto limit = all_of<Polyline>(scene, "limit").at(0);
    EXPECT_NEAR(past[1].y + past[1].height, limit.points[0].y, 1e-9);
    EXPECT_NEAR(past[1].y, all_of<Box>(scene, "plot").at(0).y, 1e-9);
}

TEST(PullDrawing, AHoleBreaksTheLine) {
    PullPicture picture = lean_pull();
    picture.panels[0].lines[0].values[20] = NAN;
    EXPECT_EQ(all_of<Polyline>(draw_pull(picture), "measured").size(), 3U);
}

TEST(PullDrawing, NoChannelAtAllIsStillAPicture) {
    PullPicture picture = lean_pull();
    picture.panels.clear();
    picture.not_drawn = {"Boost", "Lambda"};
    EXPECT_TRUE(holds(pull_svg(picture), ">Not drawn, for want of a channel: Boost, Lambda.</text>"));
}

TEST(PullDrawing, NamesOfLinesDoNotTouch) {
    PullPicture picture = lean_pull();
    PicturePanel& panel = picture.panels[0];
    for (const char* name : {"bank 1", "bank 2", "expected"}) {
        panel.lines.push_back(panel.lines[0]);
        panel.lines.back().name = name;
    }
    const auto labels = all_of<Words>(draw_pull(picture), "label");
    ASSERT_EQ(labels.size(), 4U);
    for (std::size_t i = 1; i < labels.size(); ++i)
        EXPECT_GE(std::abs(labels[i].at.y - labels[i - 1].at.y), 15.9) << labels[i].text;
}

// A constant channel, one sample, and nothing but blanks: an axis all the same.
TEST(PullDrawing, AnExtentIsNeverEmpty) {
    PicturePanel flat{.lines = {{.speed_rpm = {2000, 3000}, .values = {90, 90}}}};
    PicturePanel blank{.lines = {{.speed_rpm = {2000}, .values = {NAN}}}};
    for (const PicturePanel& panel : {flat, blank}) {
        const Extent extent = extent_of(panel);
        EXPECT_LT(extent.low, extent.high);
        EXPECT_TRUE(std::isfinite(extent.low) && std::isfinite(extent.high));
    }
}

}  // namespace
}  // namespace revwright::draw
