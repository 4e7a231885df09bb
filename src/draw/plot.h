#pragma once

#include <optional>
#include <string>
#include <vector>

#include "draw/scale.h"
#include "draw/scene.h"

namespace revwright::draw {

/// Where engine speed and a quantity lie on the drawing.
struct Plot {
    Scale speed, value;
    Point at(double rpm, double y) const { return {speed(rpm), value(y)}; }
};

/// Ground, grid and the values at the left, about `wanted` of them; to lie behind everything.
void add_axes(std::vector<Shape>& behind, const Plot& plot, int wanted);

/// The left and the lower edge; to lie over everything.
void add_frame(std::vector<Shape>& over, const Plot& plot);

/// A name at the right of the plot; y is that of the line it belongs to.
struct Label {
    double y = 0.0;
    std::string style = {}, text = {};
    std::optional<Point> line_end = {};  // where it has to be led to, unless it stands right beside it
};

/// Moves the labels apart where they would touch; sorted by y then, from the top.
void spread(std::vector<Label>& labels, double top, double bottom);

void add_labels(std::vector<Shape>& shapes, std::vector<Label> labels, double top, double bottom);

}  // namespace revwright::draw
