#pragma once

#include <string_view>
#include <vector>

#include "model/pull_picture.h"
#include "review/run_view.h"

namespace revwright::app {

/// A pull and the run it is part of; the run outlives it.
struct DrawnPull {
    const RunView* run = nullptr;
    Pull pull = {};
};

/// A panel and the checks whose findings belong into it.
struct FilledPanel {
    PicturePanel panel;
    std::vector<std::string_view> checks = {};
    Signal main = Signal::time_s;
    PullView view = {};  // of the pull
};

/// The samples a panel's thick line is made of: boost before the throttle, the worst cylinder's retard, else the first
/// channel of the signal. Empty where it is not logged.
Samples main_samples(const PullView& view, Signal signal);

/// The panels that the log carries, in the order they are drawn: lines, bands and limits, no marks yet. `others` are
/// drawn thin. `not_drawn` gets the names of the rest.
std::vector<FilledPanel> panels_of(const DrawnPull& pull, const std::vector<DrawnPull>& others,
                                   std::vector<std::string>& not_drawn);

}  // namespace revwright::app
