#include "draw/plot.h"

#include <algorithm>
#include <cmath>

#include "draw/sheet.h"

namespace revwright::draw {
namespace {

constexpr double kLeastGapOfLabels = 16.0;

}  // namespace

void add_axes(std::vector<Shape>& behind, const Plot& plot, int wanted) {
    behind.emplace_back(Box{"plot", kPlotLeft, plot.value.to, kPlotRight - kPlotLeft, plot.value.from - plot.value.to});
    for (const double rpm : ticks(plot.speed.of, 6))
        behind.emplace_back(Polyline{"grid", {{plot.speed(rpm), plot.value.to}, {plot.speed(rpm), plot.value.from}}});
    const std::vector<double> levels = ticks(plot.value.of, wanted);
    const std::vector<std::string> labels = tick_labels(levels);
    for (std::size_t i = 0; i < levels.size(); ++i) {
        const double y = plot.value(levels[i]);
        behind.emplace_back(Polyline{"grid", {{kPlotLeft, y}, {kPlotRight, y}}});
        behind.emplace_back(Words{"tick", {kPlotLeft - 7.0, y + 4.0}, labels[i], Anchor::end});
    }
}

void add_frame(std::vector<Shape>& over, const Plot& plot) {
    over.emplace_back(
        Polyline{"frame", {{kPlotLeft, plot.value.to}, {kPlotLeft, plot.value.from}, {kPlotRight, plot.value.from}}});
}

void spread(std::vector<Label>& labels, double top, double bottom) {
    std::ranges::stable_sort(labels, {}, &Label::y);
    for (std::size_t i = 1; i < labels.size(); ++i)
        labels[i].y = std::max(labels[i].y, labels[i - 1].y + kLeastGapOfLabels);
    double lowest = bottom + 2.0;
    for (auto label = labels.rbegin(); label != labels.rend(); ++label) {
        label->y = std::min(label->y, lowest);
        lowest = label->y - kLeastGapOfLabels;
    }
    for (Label& label : labels) label.y = std::max(label.y, top - 6.0);
}

void add_labels(std::vector<Shape>& shapes, std::vector<Label> labels, double top, double bottom) {
    spread(labels, top, bottom);
    for (const Label& label : labels) {
        const Point start{kPlotRight + 5.0, label.y};
        if (label.line_end && (start.x - label.line_end->x > 8.0 || std::abs(start.y - label.line_end->y) > 3.0))
            shapes.emplace_back(Polyline{"lead", {*label.line_end, start}});
        shapes.emplace_back(Words{label.style, {kPlotRight + 8.0, label.y + 4.0}, label.text});
    }
}

}  // namespace revwright::draw
