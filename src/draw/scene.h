#pragma once

#include <string>
#include <variant>
#include <vector>

namespace revwright::draw {

// What is to be drawn, apart from how it is written. Lengths are the drawing's own units, x to the right, y down.

struct Point {
    double x = 0.0, y = 0.0;
};

/// How a shape looks: the name of a row of the style sheet (style.h).
using StyleName = std::string;

struct Polyline {
    StyleName style;
    std::vector<Point> points = {};  // two or more
};

/// A closed area.
struct Polygon {
    StyleName style;
    std::vector<Point> points = {};  // three or more
};

struct Box {
    StyleName style;
    double x = 0.0, y = 0.0, width = 0.0, height = 0.0;
};

struct Circle {
    StyleName style;
    Point centre = {};
    double radius = 0.0;
};

enum class Anchor { start, middle, end };

/// One line of text; y is its baseline. Any text may be given, it is escaped on writing.
struct Words {
    StyleName style;
    Point at = {};
    std::string text = {};
    Anchor anchor = Anchor::start;
};

using Shape = std::variant<Polyline, Polygon, Box, Circle, Words>;

/// Shapes drawn in order. With a clip, what lies outside the box does not show.
struct Layer {
    std::vector<Shape> shapes = {};
    bool clipped = false;
    Box clip = {};
};

struct Scene {
    double width = 0.0, height = 0.0;
    std::string title = {};        // for a screen reader, and the window's title
    std::string description = {};  // the same picture in words
    std::vector<Layer> layers = {};
};

}  // namespace revwright::draw
