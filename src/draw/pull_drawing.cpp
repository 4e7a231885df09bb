#include "draw/pull_drawing.h"

#include <algorithm>
#include <fmt/format.h>

#include "draw/panel.h"
#include "draw/svg.h"

namespace revwright::draw {
namespace {

// Characters in a line that also fit in the larger letters of a phone (see style.h); letters are 0.6 of their height.
constexpr std::size_t kTitleLetters = 50, kFactsLetters = 64, kSmallLetters = 74;
constexpr double kPanelGap = 34.0;

std::size_t letters(std::string_view utf8) {
    return static_cast<std::size_t>(
        std::ranges::count_if(utf8, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

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

double add_paragraph(std::vector<Shape>& shapes, std::string_view style, std::string_view words, std::size_t width,
                     double pitch, double y) {
    if (words.empty()) return y;
    for (std::string& line : wrapped(words, width)) {
        shapes.emplace_back(Words{std::string(style), {kSheetMargin, y}, std::move(line)});
        y += pitch;
    }
    return y;
}

/// What each kind of line, area and hatch stands for; only what the picture holds.
class Key {
public:
    Key(std::vector<Shape>& shapes, double y) : shapes_(shapes), y_(y) {}

    void line(const char* style, const std::string& words) {
        const Point at = next(words);
        shapes_.emplace_back(Polyline{style, {{at.x, at.y - 4.0}, {at.x + 26.0, at.y - 4.0}}});
    }
    void area(const char* style, const std::string& words) {
        const Point at = next(words);
        shapes_.emplace_back(Box{style, at.x, at.y - 11.0, 26.0, 13.0});
    }
    double below() const { return y_ + (column_ > 0 ? kLineOfWords : 0.0); }

private:
    Point next(const std::string& words) {
        const Point at{kSheetMargin + 232.0 * column_, y_};
        shapes_.emplace_back(Words{"quiet", {at.x + 34.0, at.y}, words});
        if (++column_ == 3) {
            column_ = 0;
            y_ += kLineOfWords;
        }
        return at;
    }

    std::vector<Shape>& shapes_;
    double y_;
    int column_ = 0;
};

double add_key(std::vector<Shape>& shapes, const PullPicture& picture, double y) {
    Key key(shapes, y);
    key.line("measured", "this pull");
    if (picture.other_pulls > 0)
        key.line("other",
                 picture.other_pulls == 1 ? "the other pull" : fmt::format("the other {} pulls", picture.other_pulls));
    const auto commanded = [](const PictureLine& line) { return line.ink == PictureInk::commanded; };
    if (std::ranges::any_of(picture.panels,
                            [&](const PicturePanel& panel) { return std::ranges::any_of(panel.lines, commanded); }))
        key.line("commanded", "commanded");
    if (std::ranges::any_of(picture.panels, [](const PicturePanel& panel) { return !panel.bands.empty(); }))
        key.area("band", "allowed");
    if (std::ranges::any_of(picture.panels, [](const PicturePanel& panel) { return !panel.limits.empty(); }))
        key.area("past-mend", "past a limit");
    return key.below();
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

/// The picture in words: title, facts, then each mark.
std::string description_of(const PullPicture& picture) {
    std::string text = picture.facts;
    const auto add = [&](const std::vector<PictureMark>& marks, const std::string& where) {
        for (const PictureMark& mark : marks) text += fmt::format(" {}{}.", where, mark.words);
    };
    for (const PicturePanel& panel : picture.panels) add(panel.marks, panel.name + ": ");
    add(picture.elsewhere, "");
    return text;
}

double add_heading(std::vector<Shape>& shapes, const PullPicture& picture) {
    double y = add_paragraph(shapes, "title", picture.title, kTitleLetters, 26.0, 38.0);
    y = add_paragraph(shapes, "quiet", picture.facts, kFactsLetters, 20.0, y + 1.0) + 8.0;
    return picture.panels.empty() ? y : add_key(shapes, picture, y) + 4.0;
}

double add_ending(std::vector<Shape>& shapes, const PullPicture& picture, double y) {
    if (!picture.elsewhere.empty()) {
        shapes.emplace_back(Words{"name", {kSheetMargin, y}, "Also found in this pull"});
        y = add_mark_words(shapes, picture.elsewhere, y + kLineOfWords + 2.0) + 10.0;
    }
    if (!picture.not_drawn.empty()) {
        std::string words = "Not drawn, for want of a channel: ";
        for (std::size_t i = 0; i < picture.not_drawn.size(); ++i) words += (i == 0 ? "" : ", ") + picture.not_drawn[i];
        y = add_paragraph(shapes, "small", words + ".", kSmallLetters, 18.0, y) + 4.0;
    }
    return add_paragraph(shapes, "small", picture.cautions, kSmallLetters, 18.0, y);
}

}  // namespace

Scene draw_pull(const PullPicture& picture) {
    Scene scene{.width = kSheetWidth, .title = picture.title, .description = description_of(picture)};
    scene.layers.emplace_back();  // the ground; its height is known at the end
    Layer heading;
    double y = add_heading(heading.shapes, picture) + 14.0;
    scene.layers.push_back(std::move(heading));
    const Scale speed{{picture.speed_from_rpm, picture.speed_to_rpm}, kPlotLeft, kPlotRight};
    for (std::size_t i = 0; i < picture.panels.size(); ++i) {
        y = add_panel(scene.layers, picture.panels[i], speed, y);
        if (i + 1 < picture.panels.size()) y += kPanelGap;
    }
    Layer ending;
    if (!picture.panels.empty()) y = add_speed_axis(ending.shapes, speed, y);
    y = add_ending(ending.shapes, picture, y + 8.0);
    scene.layers.push_back(std::move(ending));
    scene.height = y + 2.0;
    scene.layers.front().shapes.emplace_back(Box{"ground", 0.0, 0.0, scene.width, scene.height});
    return scene;
}

std::string pull_svg(const PullPicture& picture) { return to_svg(draw_pull(picture)); }

}  // namespace revwright::draw
