#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "draw/panel.h"

namespace revwright::draw {
namespace {

constexpr double kSignRadius = 9.5;

std::string named(std::string_view what, Severity severity) { return fmt::format("{}-{}", what, to_string(severity)); }

Polygon regular(std::string style, Point centre, double radius, int corners, double turn) {
    Polygon area{.style = std::move(style)};
    for (int i = 0; i < corners; ++i) {
        const double angle = turn + 2.0 * std::numbers::pi * i / corners;
        area.points.push_back({centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)});
    }
    return area;
}

}  // namespace

void add_mark(std::vector<Shape>& shapes, Severity severity, int number, Point at) {
    const std::string style = named("mark", severity);
    if (severity == Severity::stop)
        shapes.emplace_back(regular(style, at, kSignRadius, 8, std::numbers::pi / 8));
    else if (severity == Severity::mend)
        shapes.emplace_back(regular(style, at, kSignRadius + 2.0, 4, 0.0));
    else
        shapes.emplace_back(Circle{style, at, kSignRadius - 1.0});
    shapes.emplace_back(Words{named("number", severity), {at.x, at.y + 4.2}, std::to_string(number), Anchor::middle});
}

double add_mark_words(std::vector<Shape>& shapes, const std::vector<PictureMark>& marks, double y) {
    for (const PictureMark& mark : marks) {
        add_mark(shapes, mark.severity, mark.number, {kSheetMargin + 10.0, y - 4.5});
        shapes.emplace_back(Words{"words", {kSheetMargin + 26.0, y}, mark.words});
        y += kLineOfWords;
    }
    return y;
}

}  // namespace revwright::draw
