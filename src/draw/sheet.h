#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "draw/scale.h"
#include "draw/scene.h"

namespace revwright::draw {

// Places that every panel shares, in the drawing's units.
inline constexpr double kSheetWidth = 720.0;
inline constexpr double kSheetMargin = 20.0;
inline constexpr double kPlotLeft = 66.0;
inline constexpr double kPlotRight = 604.0;  // names of lines stand right of it
inline constexpr double kLineOfWords = 22.0;
inline constexpr double kDotRadius = 1.8;

// Characters in a line that also fit in the larger letters of a phone (see style.h); letters are 0.6 of their height.
inline constexpr std::size_t kTitleLetters = 50, kFactsLetters = 64, kSmallLetters = 74;

/// Characters, not bytes.
std::size_t letters(std::string_view utf8);

/// Words set in lines of at most `width` letters, from the margin down; returns the y below them.
double add_paragraph(std::vector<Shape>& shapes, std::string_view style, std::string_view words, std::size_t width,
                     double pitch, double y);

/// What each kind of line, area and dot stands for, in three columns; only what the picture holds.
class Key {
public:
    Key(std::vector<Shape>& shapes, double y) : shapes_(shapes), y_(y) {}

    void line(const char* style, const std::string& words);
    void area(const char* style, const std::string& words);
    void dots(const char* style, const std::string& words);
    double below() const { return y_ + (column_ > 0 ? kLineOfWords : 0.0); }

private:
    Point next(const std::string& words);

    std::vector<Shape>& shapes_;
    double y_;
    int column_ = 0;
};

/// The axis that all panels share, under the last of them; returns the y below it.
double add_speed_axis(std::vector<Shape>& shapes, const Scale& speed, double y);

}  // namespace revwright::draw
