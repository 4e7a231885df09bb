#pragma once

#include <span>
#include <string>
#include <string_view>

namespace revwright::draw {

/// A paint on light and on dark ground; empty = none. "url(#...)" names a hatch.
struct Paint {
    std::string_view light = {}, dark = {};
};

/// How shapes of one name look. Every difference that means something is also one of width, dashes, hatch or shape.
struct Style {
    std::string_view name;
    Paint fill = {};
    Paint stroke = {};
    double stroke_width = 0.0;
    std::string_view dashes = {};
    double opacity = 1.0;     // of the fill
    double font_size = 0.0;   // 0 = no text
    double phone_size = 0.0;  // on a screen narrower than 500 pixels, where the whole drawing shrinks
    bool bold = false;
};

std::span<const Style> all_styles();
/// name must be one of all_styles().
const Style& style(std::string_view name);

/// Rules for a style element: light, dark where the reader asks for it, larger words on a phone, light on paper.
std::string style_sheet();
/// The same as attributes of one shape, for readers that know no style sheets: light only.
std::string plain_attributes(const Style& style);

/// The hatches that styles name, as SVG patterns.
std::string hatches();

}  // namespace revwright::draw
