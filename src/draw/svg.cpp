#include "draw/svg.h"

#include <cmath>
#include <fmt/format.h>

#include "draw/style.h"

namespace revwright::draw {
namespace {

/// Hundredths are finer than any screen shows; shorter text is a smaller file.
std::string number(double value) {
    const double tidy = std::round(value * 100.0) / 100.0;
    return fmt::format("{:g}", std::abs(tidy) < 1e-9 ? 0.0 : tidy);
}

std::string drawn_by(std::string_view name) {
    return fmt::format(" class=\"{}\"{}", name, plain_attributes(style(name)));
}

std::string points_text(const std::vector<Point>& points) {
    std::string text;
    for (const Point& point : points) text += (text.empty() ? "" : " ") + number(point.x) + "," + number(point.y);
    return text;
}

std::string shape_text(const Polyline& line) {
    return fmt::format("<polyline{} stroke-linejoin=\"round\" points=\"{}\"/>\n", drawn_by(line.style),
                       points_text(line.points));
}

std::string shape_text(const Polygon& area) {
    return fmt::format("<polygon{} points=\"{}\"/>\n", drawn_by(area.style), points_text(area.points));
}

std::string box_text(const Box& box) {
    return fmt::format("x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"", number(box.x), number(box.y), number(box.width),
                       number(box.height));
}

std::string shape_text(const Box& box) { return fmt::format("<rect{} {}/>\n", drawn_by(box.style), box_text(box)); }

std::string shape_text(const Circle& circle) {
    return fmt::format("<circle{} cx=\"{}\" cy=\"{}\" r=\"{}\"/>\n", drawn_by(circle.style), number(circle.centre.x),
                       number(circle.centre.y), number(circle.radius));
}

std::string shape_text(const Words& words) {
    constexpr std::string_view kAnchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    return fmt::format("<text{}{} x=\"{}\" y=\"{}\">{}</text>\n", drawn_by(words.style),
                       kAnchors[static_cast<std::size_t>(words.anchor)], number(words.at.x), number(words.at.y),
                       xml_text(words.text));
}

std::string layer_text(const Layer& layer, std::size_t index) {
    std::string text;
    if (layer.clipped)
        text += fmt::format("<clipPath id=\"clip-{0}\"><rect {1}/></clipPath>\n<g clip-path=\"url(#clip-{0})\">\n",
                            index, box_text(layer.clip));
    for (const Shape& shape : layer.shapes) text += std::visit([](const auto& one) { return shape_text(one); }, shape);
    return layer.clipped ? text + "</g>\n" : text;
}

}  // namespace

std::string to_svg(const Scene& scene) {
    std::string text = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}\" height=\"{1}\" role=\"img\" "
        "aria-labelledby=\"title description\" font-family=\"system-ui, 'DejaVu Sans', sans-serif\">\n"
        "<title id=\"title\">{2}</title>\n<desc id=\"description\">{3}</desc>\n",
        number(scene.width), number(scene.height), xml_text(scene.title), xml_text(scene.description));
    text += "<style>\n" + style_sheet() + "</style>\n<defs>\n" + hatches() + "</defs>\n";
    for (std::size_t i = 0; i < scene.layers.size(); ++i) text += layer_text(scene.layers[i], i);
    return text + "</svg>\n";
}

}  // namespace revwright::draw
