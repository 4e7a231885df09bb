#include "draw/panel.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "draw/plot.h"
#include "draw/thin.h"

namespace revwright::draw {
namespace {

constexpr std::size_t kMostPoints = 2'000, kMostPointsOfOthers = 200;

std::string ink_style(PictureInk ink) {
    constexpr std::string_view kNames[] = {"measured", "beside", "commanded", "minor"};
    return std::string(kNames[static_cast<std::size_t>(ink)]);
}

void widen(Extent& extent, double value) {
    if (!std::isfinite(value)) return;
    extent.low = std::min(extent.low, value);
    extent.high = std::max(extent.high, value);
}

/// The unbroken parts of a line; a part of one point shows nothing.
std::vector<std::vector<Point>> parts_of(const PictureLine& line, const Plot& plot) {
    std::vector<std::vector<Point>> parts(1);
    for (std::size_t i = 0; i < line.values.size(); ++i) {
        if (std::isfinite(line.values[i]) && std::isfinite(line.speed_rpm[i]))
            parts.back().push_back(plot.at(line.speed_rpm[i], line.values[i]));
        else if (!parts.back().empty())
            parts.emplace_back();
    }
    std::erase_if(parts, [](const std::vector<Point>& part) { return part.size() < 2; });
    return parts;
}

void add_line(std::vector<Shape>& shapes, const PictureLine& line, const std::string& style, const Plot& plot,
              std::size_t most) {
    for (const std::vector<Point>& part : parts_of(line, plot))
        shapes.emplace_back(Polyline{style, thinned(part, most)});
}

void add_band(std::vector<Shape>& shapes, const PictureBand& band, const Plot& plot) {
    std::vector<Point> upper, lower;
    for (std::size_t i = 0; i < band.speed_rpm.size(); ++i) {
        if (!std::isfinite(band.low[i]) || !std::isfinite(band.high[i])) continue;
        upper.push_back(plot.at(band.speed_rpm[i], band.high[i]));
        lower.push_back(plot.at(band.speed_rpm[i], band.low[i]));
    }
    if (upper.size() < 2) return;
    Polygon area{"band", thinned(upper, kMostPointsOfOthers)};
    const std::vector<Point> back = thinned(lower, kMostPointsOfOthers);
    area.points.insert(area.points.end(), back.rbegin(), back.rend());
    shapes.emplace_back(std::move(area));
}

/// Hatches what is past each limit, up to the next one or the edge, and draws the limit itself.
void add_limits(std::vector<Shape>& shapes, const PicturePanel& panel, const Plot& plot) {
    const double left = plot.speed.from, width = plot.speed.to - left;
    for (std::size_t i = 0; i < panel.limits.size(); ++i) {
        const PictureLimit& limit = panel.limits[i];
        double end = limit.bad_above ? plot.value.to : plot.value.from;
        for (const PictureLimit& next : panel.limits)
            if (next.bad_above == limit.bad_above && next.severity > limit.severity)
                end = limit.bad_above ? std::max(end, plot.value(next.value)) : std::min(end, plot.value(next.value));
        const double y = plot.value(limit.value);
        const Box past{fmt::format("past-{}", to_string(limit.severity)), left, std::min(y, end), width,
                       std::abs(end - y)};
        if ((limit.bad_above ? end < y : end > y)) shapes.emplace_back(past);
        shapes.emplace_back(Polyline{"limit", {{left, y}, {left + width, y}}});
    }
}

std::vector<Label> labels_of(const PicturePanel& panel, const Plot& plot) {
    const double top = plot.value.to, bottom = plot.value.from;
    std::vector<Label> labels;
    for (const PictureLine& line : panel.lines) {
        const auto parts = parts_of(line, plot);
        if (!parts.empty() && !line.name.empty())
            labels.push_back({std::clamp(parts.back().back().y, top, bottom), "label", line.name});
    }
    for (const PictureLimit& limit : panel.limits) {
        const double y = plot.value(limit.value);
        if (y >= top && y <= bottom) labels.push_back({y, "bound", limit.name});
    }
    for (const PictureBand& band : panel.bands)
        if (!band.speed_rpm.empty() && std::isfinite(band.low.back()))
            labels.push_back({std::clamp(plot.value(band.low.back()), top, bottom), "bound", band.name});
    return labels;
}

void add_points(std::vector<Shape>& over, const PicturePanel& panel, const Plot& plot) {
    for (const PictureMark& mark : panel.marks) {
        if (!std::isfinite(mark.speed_rpm) || !std::isfinite(mark.value)) continue;
        const Point at = plot.at(std::clamp(mark.speed_rpm, plot.speed.of.low, plot.speed.of.high),
                                 std::clamp(mark.value, plot.value.of.low, plot.value.of.high));
        over.emplace_back(Polyline{"drop", {{at.x, plot.value.to}, {at.x, plot.value.from}}});
        add_mark(over, mark.severity, mark.number, at);
    }
}

}  // namespace

Extent extent_of(const PicturePanel& panel) {
    constexpr double infinite = std::numeric_limits<double>::infinity();
    Extent extent{infinite, -infinite};
    const double least = panel.lowest.value_or(-infinite), most = panel.highest.value_or(infinite);
    for (const PictureLine& line : panel.lines)
        for (const double value : line.values)
            if (std::isfinite(value)) widen(extent, std::clamp(value, least, most));
    for (const PictureBand& band : panel.bands)
        for (std::size_t i = 0; i < band.low.size(); ++i) widen(extent, band.low[i]), widen(extent, band.high[i]);
    for (const PictureMark& mark : panel.marks) widen(extent, mark.value);
    for (const PictureLimit& limit : panel.limits)
        if (limit.severity != Severity::stop) widen(extent, limit.value);
    if (!(extent.low <= extent.high)) {  // stop limits alone, or nothing
        for (const PictureLimit& limit : panel.limits) widen(extent, limit.value);
        if (!(extent.low <= extent.high)) return {};
    }
    const double room = std::max(0.09 * (extent.high - extent.low), 1e-3 * std::abs(extent.high) + 1e-6);
    return {extent.low - room, extent.high + room};
}

double add_panel(std::vector<Layer>& layers, const PicturePanel& panel, const Scale& speed, double y) {
    Layer behind, inside, over;
    behind.shapes.emplace_back(
        Words{"name", {kSheetMargin, y}, panel.unit.empty() ? panel.name : panel.name + ", " + panel.unit});
    y = add_mark_words(behind.shapes, panel.marks, y + kLineOfWords);
    const double top = y - kLineOfWords + 12.0;
    const Plot plot{speed, {extent_of(panel), top + kPlotHeight, top}};
    add_axes(behind.shapes, plot, 4);
    inside.clipped = true;
    inside.clip = {{}, kPlotLeft, top, kPlotRight - kPlotLeft, kPlotHeight};
    for (const PictureBand& band : panel.bands) add_band(inside.shapes, band, plot);
    add_limits(inside.shapes, panel, plot);
    for (const PictureLine& line : panel.others) add_line(inside.shapes, line, "other", plot, kMostPointsOfOthers);
    const auto add_lines = [&](bool commanded) {
        for (auto line = panel.lines.rbegin(); line != panel.lines.rend(); ++line)  // the main one over the others
            if ((line->ink == PictureInk::commanded) == commanded)
                add_line(inside.shapes, *line, ink_style(line->ink), plot, kMostPoints);
    };
    add_lines(false);
    add_lines(true);  // its dashes show on the line that covers them
    add_frame(over.shapes, plot);
    add_points(over.shapes, panel, plot);
    add_labels(over.shapes, labels_of(panel, plot), top, top + kPlotHeight);
    layers.insert(layers.end(), {std::move(behind), std::move(inside), std::move(over)});
    return top + kPlotHeight;
}

}  // namespace revwright::draw
