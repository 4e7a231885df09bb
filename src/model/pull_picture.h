#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "model/review.h"

namespace revwright {

// What a picture of a pull shows: quantities over engine speed, one panel below the other. Data only; src/draw makes
// it a drawing.

/// What a line is, and so how it is drawn: never told by colour alone.
enum class PictureInk {
    measured,   // the quantity itself: thick
    beside,     // another measured one in the same panel: long dashes
    commanded,  // target or what was expected: short dashes
    minor,      // less than the first: thin
};

/// A line over engine speed, in the order of time; NaN in either breaks it.
struct PictureLine {
    std::string name = {};
    PictureInk ink = PictureInk::measured;
    std::vector<double> speed_rpm = {};
    std::vector<double> values = {};
};

/// What is allowed around a target, at each speed.
struct PictureBand {
    std::string name = {};
    std::vector<double> speed_rpm = {};
    std::vector<double> low = {};
    std::vector<double> high = {};
};

/// A limit over the whole width; the side past it is hatched.
struct PictureLimit {
    std::string name = {};  // "mend", "stop"
    Severity severity = Severity::mend;
    double value = 0.0;
    bool bad_above = true;
};

/// The worst point of a finding. `number` ties the mark to its words; it counts over the whole picture, from 1.
struct PictureMark {
    int number = 0;
    Severity severity = Severity::watch;
    double speed_rpm = std::numeric_limits<double>::quiet_NaN();
    double value = std::numeric_limits<double>::quiet_NaN();  // NaN where the panel has no line to put it on
    std::string words = {};                                   // what, and the margin at which speed
};

struct PicturePanel {
    std::string name = {};
    std::string unit = {};
    std::vector<PictureLine> lines = {};   // of this pull, the main one first
    std::vector<PictureLine> others = {};  // the main quantity of the other pulls of the same image
    std::vector<PictureBand> bands = {};
    std::vector<PictureLimit> limits = {};
    std::vector<PictureMark> marks = {};
    std::optional<double> lowest = {}, highest = {};  // values beyond these are cut off, as of a probe in overrun
};

struct PullPicture {
    std::string title = {};  // the verdict of the pull in one sentence
    std::string facts = {};  // log, pull, gear, speeds, image
    double speed_from_rpm = 0.0, speed_to_rpm = 0.0;
    std::size_t other_pulls = 0;  // with the same image
    std::vector<PicturePanel> panels = {};
    std::vector<PictureMark> elsewhere = {};  // findings of this pull that no panel shows
    std::vector<std::string> not_drawn = {};  // panels that are missing, for want of a channel
    std::string cautions = {};
};

}  // namespace revwright
