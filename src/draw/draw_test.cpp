#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "draw/scale.h"
#include "draw/style.h"
#include "draw/svg.h"
#include "draw/thin.h"

namespace revwright::draw {
namespace {

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(XmlText, MarkupOfAChannelNameIsEscaped) {
    EXPECT_EQ(xml_text("a<b>&\"c'"), "a&lt;b&gt;&amp;&quot;c&#39;");
    EXPECT_EQ(xml_text("Öl °C €"), "Öl °C €");
}

// W3C XML 1.0 section 2.2: what is no Char may not stand in a document, not even escaped.
TEST(XmlText, WhatXmlForbidsIsReplaced) {
    const std::string replaced = "\xEF\xBF\xBD";
    EXPECT_EQ(xml_text(std::string("a\0b", 3)), "a" + replaced + "b");
    EXPECT_EQ(xml_text("\x1B[31m"), replaced + "[31m");
    EXPECT_EQ(xml_text("\xB0"
                       "C"),
              replaced + "C")
        << "Latin-1 is not UTF-8";
    EXPECT_EQ(xml_text("\xC3"), replaced) << "cut off";
    EXPECT_EQ(xml_text("\xC0\xAF"), replaced + replaced) << "overlong";
    EXPECT_EQ(xml_text("\xED\xA0\x80"), replaced + replaced + replaced) << "surrogate";
    EXPECT_EQ(xml_text("\xEF\xBF\xBF"), replaced + replaced + replaced) << "U+FFFF";
    EXPECT_EQ(xml_text("\xF0\x9F\x94\xA7"), "\xF0\x9F\x94\xA7");
}

TEST(Ticks, AreRoundValuesInsideTheExtent) {
    EXPECT_EQ(ticks({1792.0, 6492.0}, 6), (std::vector<double>{2000, 3000, 4000, 5000, 6000}));
    EXPECT_EQ(tick_labels(ticks({1792.0, 6492.0}, 6)),
              (std::vector<std::string>{"2,000", "3,000", "4,000", "5,000", "6,000"}));
    EXPECT_EQ(tick_labels(ticks({0.79, 0.98}, 4)), (std::vector<std::string>{"0.80", "0.85", "0.90", "0.95"}));
    EXPECT_EQ(tick_labels(ticks({-1.2, 3.1}, 4)), (std::vector<std::string>{"0", "2"}));
    EXPECT_EQ(tick_labels(ticks({-2.0, 2.0}, 4)), (std::vector<std::string>{"-2", "-1", "0", "1", "2"}));
}

TEST(Ticks, NoExtentHasNone) {
    EXPECT_TRUE(ticks({3.0, 3.0}, 4).empty());
    EXPECT_TRUE(ticks({NAN, 4.0}, 4).empty());
    EXPECT_TRUE(ticks({-INFINITY, 4.0}, 4).empty());
}

TEST(Thinned, KeepsPeaksAndEndsAndTheOrder) {
    std::vector<Point> line;
    for (int i = 0; i < 50'000; ++i) line.push_back({static_cast<double>(i), i == 31'234 ? 9.0 : std::sin(0.01 * i)});
    const std::vector<Point> thin = thinned(line, 2'000);
    EXPECT_LE(thin.size(), 2'000U);
    EXPECT_EQ(thin.front().x, 0.0);
    EXPECT_EQ(thin.back().x, 49'999.0);
    EXPECT_TRUE(std::ranges::is_sorted(thin, {}, &Point::x));
    const auto peak = std::ranges::max_element(thin, {}, &Point::y);
    EXPECT_EQ(peak->x, 31'234.0);
}

TEST(Svg, AShapeIsWrittenWithItsClassAndPlainColours) {
    Scene scene{.width = 20, .height = 10, .title = "a <b>"};
    scene.layers.push_back(
        {.shapes = {Polyline{"commanded", {{0, 1}, {2.005, 3.333}}}, Words{"words", {1, 2}, "5 < 6", Anchor::end}},
         .clipped = true,
         .clip = {{}, 0, 0, 5, 5}});
    const std::string svg = to_svg(scene);
    EXPECT_TRUE(holds(svg,
                      "<polyline class=\"commanded\" fill=\"none\" stroke=\"#1B1F23\" stroke-width=\"1.5\" "
                      "stroke-dasharray=\"3 3\" stroke-linejoin=\"round\" points=\"0,1 2.01,3.33\"/>"))
        << svg;
    EXPECT_TRUE(holds(svg, "text-anchor=\"end\" x=\"1\" y=\"2\">5 &lt; 6</text>"));
    EXPECT_TRUE(holds(svg, "<title id=\"title\">a &lt;b&gt;</title>"));
    EXPECT_TRUE(holds(svg, "<g clip-path=\"url(#clip-0)\">"));
    EXPECT_TRUE(holds(svg, "prefers-color-scheme:dark"));
    EXPECT_FALSE(holds(svg, "<script")) << "nothing runs in a picture";
    EXPECT_EQ(svg, to_svg(scene));
}

// A difference that means something must survive a copy in grey: width, dashes or hatch, not colour alone.
TEST(Styles, LinesDifferByMoreThanColour) {
    const std::vector<std::string_view> names{"measured", "beside", "commanded", "minor", "other"};
    for (std::size_t i = 0; i < names.size(); ++i)
        for (std::size_t j = i + 1; j < names.size(); ++j) {
            const Style &a = style(names[i]), &b = style(names[j]);
            EXPECT_TRUE(a.dashes != b.dashes || std::abs(a.stroke_width - b.stroke_width) >= 0.3)
                << a.name << " and " << b.name;
        }
}

}  // namespace
}  // namespace revwright::draw
