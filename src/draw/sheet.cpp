#include "draw/sheet.h"

#include <algorithm>

namespace revwright::draw {
namespace {

std::vector<std::string> wrapped(std::string_view words, std::size_t width) {
    std::vector<std::string> lines(1);
    while (!words.empty()) {
        const std::size_t end = std::min(words.find(' '), words.size());
        const std::string_view word = words.substr(0, end);
        words.remove_prefix(std::min(end + 1, words.size()));
        if (!lines.back().empty() && letters(lines.back()) + 1 + letters(word) > width) lines.emplace_back();
        lines.back().append(lines.back().empty() ? "" : " ").append(word);
    }
    return lines;
}

}  // namespace

std::size_t letters(std::string_view utf8) {
    return static_cast<std::size_t>(
        std::ranges::count_if(utf8, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

double add_paragraph(std::vector<Shape>& shapes, std::string_view style, std::string_view words, std::size_t width,
                     double pitch, double y) {
    if (words.empty()) return y;
    for (std::string& line : wrapped(words, width)) {
        shapes.emplace_back(Words{std::string(style), {kSheetMargin, y}, std::move(line)});
        y += pitch;
    }
    return y;
}

void Key::line(const char* style, const std::string& words) {
    const Point at = next(words);
    shapes_.emplace_back(Polyline{style, {{at.x, at.y - 4.0}, {at.x + 26.0, at.y - 4.0}}});
}

void Key::area(const char* style, const std::string& words) {
    const Point at = next(words);
    shapes_.emplace_back(Box{style, at.x, at.y - 11.0, 26.0, 13.0});
}

void Key::dots(const char* style, const std::string& words) {
    const Point at = next(words);
    for (const double x : {4.0, 13.0, 22.0}) shapes_.emplace_back(Circle{style, {at.x + x, at.y - 4.0}, kDotRadius});
}

Point Key::next(const std::string& words) {
    const Point at{kSheetMargin + 232.0 * column_, y_};
    shapes_.emplace_back(Words{"quiet", {at.x + 34.0, at.y}, words});
    if (++column_ == 3) {
        column_ = 0;
        y_ += kLineOfWords;
    }
    return at;
}

double add_speed_axis(std::vector<Shape>& shapes, const Scale& speed, double y) {
    const std::vector<double> marks = ticks(speed.of, 6);
    const std::vector<std::string> labels = tick_labels(marks);
    for (std::size_t i = 0; i < marks.size(); ++i) {
        shapes.emplace_back(Polyline{"frame", {{speed(marks[i]), y}, {speed(marks[i]), y + 5.0}}});
        shapes.emplace_back(Words{"tick", {speed(marks[i]), y + 20.0}, labels[i], Anchor::middle});
    }
    shapes.emplace_back(Words{"quiet", {kPlotRight + 8.0, y + 20.0}, "rpm"});
    return y + 44.0;
}

}  // namespace revwright::draw
