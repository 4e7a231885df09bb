#include "draw/pull_drawing.h"

#include <algorithm>
#include <fmt/format.h>

#include "draw/panel.h"
#include "draw/sheet.h"
#include "draw/svg.h"

namespace revwright::draw {
namespace {

constexpr double kPanelGap = 34.0;

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
