#pragma once

#include <string_view>
#include <vector>

#include "draw/scale.h"
#include "draw/scene.h"
#include "draw/sheet.h"
#include "model/pull_picture.h"

namespace revwright::draw {

inline constexpr double kPlotHeight = 112.0;

/// What y must show: this pull's lines, the band near them, the marks, and the first limit with some room past it.
Extent extent_of(const PicturePanel& panel);

/// Mark of a severity, each of its own shape: octagon stop, diamond mend, disc watch, ring clear; the number inside.
void add_mark(std::vector<Shape>& shapes, Severity severity, int number, Point at);

/// One line of words per mark: its sign, the severity, what and where. Returns the y below them.
double add_mark_words(std::vector<Shape>& shapes, const std::vector<PictureMark>& marks, double y);

/// The panel with its heading, from `y` down; `speed` is the shared axis. Returns the y below it.
double add_panel(std::vector<Layer>& layers, const PicturePanel& panel, const Scale& speed, double y);

}  // namespace revwright::draw
