#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/digest.h"
#include "review/run_view.h"

namespace revwright {

/// The logs that were driven with one image: one torque curve.
struct ImageRuns {
    std::string image = {};  // as people call it
    std::optional<Digest> digest = {};
    std::vector<std::size_t> runs = {};  // indices into the views
    bool standard = false;
};

/// In the order in which each image comes first. Logs that no [[run]] ties to an image are one set of their own.
std::vector<ImageRuns> sets_of(std::span<const RunView> runs);

}  // namespace revwright
