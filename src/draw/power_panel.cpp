#include "draw/power_panel.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <numbers>

#include "draw/plot.h"
#include "draw/sheet.h"
#include "draw/thin.h"
#include "model/power_words.h"

namespace revwright::draw {
namespace {

constexpr double kHeight = 210.0;
constexpr std::size_t kMostPoints = 400, kMostDots = 80;
constexpr const char* kCombined = "combined";
constexpr double kTwoSided95 = 1.959964;

/// One quantity of the curves, in its unit.
struct Shown {
    PowerQuantity quantity = PowerQuantity::torque;

    bool power() const { return quantity == PowerQuantity::power; }
    double scale(const TorqueCurvePoint& point) const {
        return power() ? point.engine_speed_rpm * std::numbers::pi / 30e3 : 1.0;  // kW of one Nm
    }
    double value(const TorqueCurvePoint& point) const { return point.torque_nm * scale(point); }
    double half_width(const TorqueCurvePoint& point) const { return kTwoSided95 * point.torque_sd_nm * scale(point); }
    const PowerPeak& peak(const PowerCurve& curve) const { return power() ? curve.power_kw : curve.torque_nm; }
    std::optional<double> goal(const Goal& goal) const { return power() ? goal.power_kw : goal.torque_nm; }
};

std::vector<const PowerCurve*> curves_of(const PowerReport& report) {
    std::vector<const PowerCurve*> curves;
    const PowerSet& set = report.sets.back();
    if (set.combined) curves.push_back(&*set.combined);
    for (const MethodPower& method : set.methods)
        if (stands_beside(set, method)) curves.push_back(&method.curve);
    if (const PowerSet* before = set_before(report)) curves.push_back(&*before->combined);
    return curves;
}

std::vector<const PowerPull*> pulls_of(const PowerReport& report) {
    std::vector<const PowerPull*> pulls;
    for (const PowerPull& pull : report.pulls)
        if (pull.set + 1 == report.sets.size() && pull.left_out.empty()) pulls.push_back(&pull);
    return pulls;
}

void widen(Extent& extent, double value) {
    if (!std::isfinite(value)) return;
    extent.low = std::min(extent.low, value);
    extent.high = std::max(extent.high, value);
}

/// Curves and band decide it; a goal widens it where it is near, stray dots hardly.
Extent extent_of(const PowerReport& report, const Shown& shown) {
    constexpr double infinite = std::numeric_limits<double>::infinity();
    constexpr double kNear = 0.3, kStray = 0.08, kRoom = 0.05;  // of what the curves span
    Extent extent{infinite, -infinite};
    for (const PowerCurve* curve : curves_of(report))
        for (const TorqueCurvePoint& point : curve->points) widen(extent, shown.value(point));
    if (const auto& combined = report.sets.back().combined)
        for (const TorqueCurvePoint& point : combined->points)
            for (const double side : {-1.0, 1.0}) widen(extent, shown.value(point) + side * shown.half_width(point));
    if (!(extent.low <= extent.high)) return {};
    const double span = std::max(extent.high - extent.low, 1e-3 * std::abs(extent.high) + 1e-6);
    const Extent curves = extent;
    for (const PowerPull* pull : pulls_of(report))
        for (const TorqueCurvePoint& point : pull->quick_view)
            widen(extent, std::clamp(shown.value(point) * report.sets.back().correction_factor,
                                     curves.low - kStray * span, curves.high + kStray * span));
    if (const auto goal = shown.goal(report.goal))
        if (*goal > curves.low - kNear * span && *goal < curves.high + kNear * span) widen(extent, *goal);
    return {extent.low - kRoom * span, extent.high + kRoom * span};
}

std::vector<Point> line_of(const PowerCurve& curve, const Shown& shown, const Plot& plot) {
    std::vector<Point> line;
    for (const TorqueCurvePoint& point : curve.points)
        if (std::isfinite(point.torque_nm)) line.push_back(plot.at(point.engine_speed_rpm, shown.value(point)));
    return thinned(line, kMostPoints);
}

void add_band(std::vector<Shape>& shapes, const PowerCurve& curve, const Shown& shown, const Plot& plot) {
    Polygon area{"band"};
    std::vector<Point> lower;
    for (const TorqueCurvePoint& point : curve.points) {
        const double value = shown.value(point), half = shown.half_width(point);
        if (!std::isfinite(value) || !std::isfinite(half)) continue;
        area.points.push_back(plot.at(point.engine_speed_rpm, value + half));
        lower.push_back(plot.at(point.engine_speed_rpm, value - half));
    }
    if (lower.size() < 2) return;
    area.points.insert(area.points.end(), lower.rbegin(), lower.rend());
    shapes.emplace_back(std::move(area));
}

/// The pulls one by one, corrected as the curves are.
void add_dots(std::vector<Shape>& shapes, const PowerReport& report, const Shown& shown, const Plot& plot) {
    for (const PowerPull* pull : pulls_of(report)) {
        std::vector<Point> dots;
        for (const TorqueCurvePoint& point : pull->quick_view)
            if (std::isfinite(point.torque_nm))
                dots.push_back(
                    plot.at(point.engine_speed_rpm, shown.value(point) * report.sets.back().correction_factor));
        for (const Point dot : thinned(dots, kMostDots)) shapes.emplace_back(Circle{"dot", dot, kDotRadius});
    }
}

/// Draws a curve and hands its name to the labels at the right.
void add_curve(std::vector<Shape>& shapes, std::vector<Label>& labels, std::vector<Point> line, std::string style,
               std::string label_style, std::string name, const Plot& plot) {
    if (line.size() < 2) return;
    const Point end = line.back();
    labels.push_back({std::clamp(end.y, plot.value.to, plot.value.from), std::move(label_style), std::move(name), end});
    shapes.emplace_back(Polyline{std::move(style), std::move(line)});
}

void add_curves(std::vector<Shape>& shapes, std::vector<Label>& labels, const PowerReport& report, const Shown& shown,
                const Plot& plot) {
    const PowerSet& set = report.sets.back();
    if (const PowerSet* before = set_before(report))
        add_curve(shapes, labels, line_of(*before->combined, shown, plot), "before", "label", "before", plot);
    const std::string name = name_of_combined(set);
    if (set.combined)
        add_curve(shapes, labels, line_of(*set.combined, shown, plot), "measured",
                  name == kCombined ? "figure" : "label", name, plot);
    for (const MethodPower& method : set.methods)  // its dashes show on the thick curve where they cover each other
        if (stands_beside(set, method))
            add_curve(shapes, labels, line_of(method.curve, shown, plot),
                      fmt::format("method-{}", to_string(method.method)), "label", in_words(method.method), plot);
}

void add_goal(std::vector<Shape>& shapes, std::vector<Label>& labels, const Goal& goals, const Shown& shown,
              const Plot& plot) {
    const auto goal = shown.goal(goals);
    if (!goal || *goal < plot.value.of.low || *goal > plot.value.of.high) return;
    const double y = plot.value(*goal);
    shapes.emplace_back(Polyline{"goal", {{kPlotLeft, y}, {kPlotRight, y}}});
    labels.push_back({y, "label", fmt::format("goal {:g}", *goal), Point{kPlotRight, y}});
}

/// The peak as a ring, led to its words above the plot.
void add_peak(std::vector<Shape>& shapes, const PowerCurve& curve, const Shown& shown, const Plot& plot) {
    const PowerPeak& peak = shown.peak(curve);
    const std::string words = shown.power() ? power_in_words(peak) : torque_in_words(peak);
    const Point at = plot.at(peak.engine_speed_rpm, peak.value);
    const double half = 0.3 * 17.0 * static_cast<double>(letters(words));  // in the larger letters of a phone
    const double x = std::clamp(at.x, kSheetMargin + half, kSheetWidth - kSheetMargin - half);
    shapes.emplace_back(Polyline{"drop", {{at.x, plot.value.to - 6.0}, at}});
    shapes.emplace_back(Circle{"peak", at, 4.5});
    shapes.emplace_back(Words{"figure", {x, plot.value.to - 11.0}, words, Anchor::middle});
}

}  // namespace

const PowerSet* set_before(const PowerReport& report) {
    for (std::size_t i = report.sets.size(); i-- > 1;)
        if (report.sets[i - 1].combined) return &report.sets[i - 1];
    return nullptr;
}

bool stands_beside(const PowerSet& set, const MethodPower& method) {
    return !set.combined || !method.combined || std::ranges::count(set.methods, true, &MethodPower::combined) > 1;
}

std::string name_of_combined(const PowerSet& set) {
    for (const MethodPower& method : set.methods)
        if (!stands_beside(set, method)) return in_words(method.method);
    return kCombined;
}

Extent speeds_of(const PowerReport& report) {
    constexpr double infinite = std::numeric_limits<double>::infinity();
    Extent extent{infinite, -infinite};
    for (const PowerCurve* curve : curves_of(report))
        for (const TorqueCurvePoint& point : curve->points) widen(extent, point.engine_speed_rpm);
    return extent.low < extent.high ? extent : Extent{};
}

double add_power_panel(std::vector<Layer>& layers, const PowerReport& report, PowerQuantity quantity,
                       const Scale& speed, double y) {
    const Shown shown{quantity};
    const double top = y + 32.0, bottom = top + kHeight;
    const Plot plot{speed, {extent_of(report, shown), bottom, top}};
    const PowerSet& set = report.sets.back();
    Layer behind, inside, over;
    behind.shapes.emplace_back(Words{"name", {kSheetMargin, y}, shown.power() ? "Power, kW" : "Torque, Nm"});
    add_axes(behind.shapes, plot, 5);
    inside.clipped = true;
    inside.clip = {{}, kPlotLeft, top, kPlotRight - kPlotLeft, kHeight};
    std::vector<Label> labels;
    if (set.combined) add_band(inside.shapes, *set.combined, shown, plot);
    add_dots(inside.shapes, report, shown, plot);
    add_goal(inside.shapes, labels, report.goal, shown, plot);
    add_curves(inside.shapes, labels, report, shown, plot);
    add_frame(over.shapes, plot);
    if (set.combined) add_peak(over.shapes, *set.combined, shown, plot);
    add_labels(over.shapes, std::move(labels), top, bottom);
    layers.insert(layers.end(), {std::move(behind), std::move(inside), std::move(over)});
    return bottom;
}

}  // namespace revwright::draw
