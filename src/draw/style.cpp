#include "draw/style.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <fmt/format.h>

namespace revwright::draw {
namespace {

// Colours that people with any of the common colour vision deficiencies tell apart.
// Source: [OkabeIto2008], "Color Universal Design", the set of eight (values from memory).
constexpr std::string_view kOrange = "#E69F00", kSkyBlue = "#56B4E9", kGreen = "#009E73", kBlue = "#0072B2",
                           kVermillion = "#D55E00";
// Ground, ink and greys: ours.
constexpr std::string_view kPaper = "#FFFFFF", kNight = "#14171A", kInk = "#1B1F23", kChalk = "#E8EAED";
constexpr Paint kWords{kInk, kChalk}, kQuietWords{"#4C545C", "#AEB6BE"}, kGround{kPaper, kNight};
constexpr Paint kMeasured{kBlue, kSkyBlue}, kCommanded{kInk, kChalk}, kBeside{kGreen, kGreen};
constexpr Paint kBad{kVermillion, "#FF7A1F"}, kCareful{kOrange, kOrange};

constexpr std::array kStyles{
    Style{.name = "ground", .fill = kGround},
    Style{.name = "plot", .fill = {"#F7F8F9", "#1B1F24"}},
    Style{.name = "frame", .stroke = {"#8A929A", "#6D757D"}, .stroke_width = 1.0},
    Style{.name = "grid", .stroke = {"#DDE1E5", "#30363C"}, .stroke_width = 1.0},
    Style{.name = "band", .fill = {kSkyBlue, kSkyBlue}, .opacity = 0.28},
    Style{.name = "past-watch", .fill = {"url(#hatch-watch)", "url(#hatch-watch)"}},
    Style{.name = "past-mend", .fill = {"url(#hatch-mend)", "url(#hatch-mend)"}},
    Style{.name = "past-stop", .fill = {"url(#hatch-stop)", "url(#hatch-stop)"}},
    Style{.name = "limit", .stroke = kBad, .stroke_width = 1.2},
    Style{.name = "other", .stroke = {"#8F979F", "#7B848D"}, .stroke_width = 0.8},
    Style{.name = "measured", .stroke = kMeasured, .stroke_width = 2.6},
    Style{.name = "beside", .stroke = kBeside, .stroke_width = 2.0, .dashes = "9 3"},
    Style{.name = "commanded", .stroke = kCommanded, .stroke_width = 1.5, .dashes = "3 3"},
    Style{.name = "minor", .stroke = kMeasured, .stroke_width = 1.1},
    Style{.name = "before", .stroke = {"#6D757D", "#9AA3AC"}, .stroke_width = 1.2},
    Style{.name = "method-road-load", .stroke = kBeside, .stroke_width = 1.6, .dashes = "10 4"},
    Style{.name = "method-dynamometer", .stroke = kMeasured, .stroke_width = 1.6, .dashes = "10 3 2 3"},
    Style{.name = "method-air-flow", .stroke = kBad, .stroke_width = 1.6, .dashes = "5 4"},
    Style{.name = "method-control-unit", .stroke = kWords, .stroke_width = 1.6, .dashes = "1.5 3"},
    Style{.name = "goal", .stroke = kWords, .stroke_width = 1.1, .dashes = "16 6"},
    Style{.name = "lead", .stroke = {"#8A929A", "#6D757D"}, .stroke_width = 0.8},
    Style{.name = "dot", .fill = {"#6D757D", "#9AA3AC"}, .opacity = 0.6},
    Style{.name = "peak", .fill = kGround, .stroke = kMeasured, .stroke_width = 2.2},
    Style{.name = "drop", .stroke = kWords, .stroke_width = 0.8, .dashes = "1 3"},
    Style{.name = "mark-stop", .fill = {"#B34700", kVermillion}, .stroke = kGround, .stroke_width = 1.5},
    Style{.name = "mark-mend", .fill = {"#B34700", kVermillion}, .stroke = kGround, .stroke_width = 1.5},
    Style{.name = "mark-watch", .fill = kCareful, .stroke = kGround, .stroke_width = 1.5},
    Style{.name = "mark-clear", .fill = kGround, .stroke = kBeside, .stroke_width = 2.0},
    Style{.name = "number-stop", .fill = {kPaper, kPaper}, .font_size = 11.5, .phone_size = 13, .bold = true},
    Style{.name = "number-mend", .fill = {kPaper, kPaper}, .font_size = 11.5, .phone_size = 13, .bold = true},
    Style{.name = "number-watch", .fill = {kInk, kInk}, .font_size = 11.5, .phone_size = 13, .bold = true},
    Style{.name = "number-clear", .fill = kWords, .font_size = 11.5, .phone_size = 13, .bold = true},
    Style{.name = "title", .fill = kWords, .font_size = 19, .phone_size = 23, .bold = true},
    Style{.name = "name", .fill = kWords, .font_size = 14.5, .phone_size = 19, .bold = true},
    Style{.name = "words", .fill = kWords, .font_size = 13, .phone_size = 18},
    Style{.name = "figure", .fill = kWords, .font_size = 13, .phone_size = 17, .bold = true},
    Style{.name = "quiet", .fill = kQuietWords, .font_size = 13, .phone_size = 18},
    Style{.name = "tick", .fill = kQuietWords, .font_size = 12, .phone_size = 16},
    Style{.name = "label", .fill = kWords, .font_size = 12.5, .phone_size = 16},
    Style{.name = "bound", .fill = {"#9A3D00", "#FF9C57"}, .font_size = 11.5, .phone_size = 15},
    Style{.name = "small", .fill = kQuietWords, .font_size = 11.5, .phone_size = 16},
};

std::string or_none(std::string_view paint) { return paint.empty() ? "none" : std::string(paint); }

std::string light_rule(const Style& style) {
    std::string rule =
        fmt::format(".{}{{fill:{};stroke:{}", style.name, or_none(style.fill.light), or_none(style.stroke.light));
    if (style.font_size > 0.0) rule += fmt::format(";font-size:{:g}px", style.font_size);
    return rule + "}\n";
}

std::string hatch(std::string_view name, double pitch, double width, const Paint& paint) {
    return fmt::format(
        "<pattern id=\"hatch-{0}\" width=\"{1:g}\" height=\"{1:g}\" patternUnits=\"userSpaceOnUse\" "
        "patternTransform=\"rotate(45)\"><path class=\"line-{0}\" d=\"M0 0V{1:g}\" stroke=\"{2}\" "
        "stroke-width=\"{3:g}\"/></pattern>\n",
        name, pitch, paint.light, width);
}

}  // namespace

std::span<const Style> all_styles() { return kStyles; }

const Style& style(std::string_view name) {
    const auto found = std::ranges::find(kStyles, name, &Style::name);
    assert(found != kStyles.end());
    return *found;
}

std::string style_sheet() {
    std::string light, dark, phone;
    for (const Style& one : kStyles) {
        light += light_rule(one);
        if (one.fill.light != one.fill.dark || one.stroke.light != one.stroke.dark)
            dark +=
                fmt::format(".{}{{fill:{};stroke:{}}}\n", one.name, or_none(one.fill.dark), or_none(one.stroke.dark));
        if (one.phone_size > 0.0) phone += fmt::format(".{}{{font-size:{:g}px}}\n", one.name, one.phone_size);
    }
    return "svg{width:100%;height:auto;max-width:800px;margin:0 auto}\n" + light +
           "@media screen and (prefers-color-scheme:dark){\n:root{background:" + std::string(kNight) + "}\n" + dark +
           "}\n@media screen and (max-width:500px){\n" + phone +
           "}\n@page{size:A4;margin:10mm}\n@media print{svg{max-width:none;height:99vh}}\n";
}

std::string plain_attributes(const Style& style) {
    std::string text = fmt::format(" fill=\"{}\"", or_none(style.fill.light));
    if (!style.stroke.light.empty())
        text += fmt::format(" stroke=\"{}\" stroke-width=\"{:g}\"", style.stroke.light, style.stroke_width);
    if (!style.dashes.empty()) text += fmt::format(" stroke-dasharray=\"{}\"", style.dashes);
    if (style.opacity != 1.0) text += fmt::format(" fill-opacity=\"{:g}\"", style.opacity);
    if (style.font_size > 0.0) text += fmt::format(" font-size=\"{:g}\"", style.font_size);
    if (style.bold) text += " font-weight=\"bold\"";
    return text;
}

std::string hatches() {
    return hatch("watch", 12.0, 0.8, kCareful) + hatch("mend", 8.0, 1.0, kBad) + hatch("stop", 4.5, 1.6, kBad);
}

}  // namespace revwright::draw
