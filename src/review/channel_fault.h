#pragma once

#include <optional>
#include <vector>

#include "model/channel.h"

namespace revwright {

/// Something wrong with how channels were recorded: one cause, whichever channels show it.
struct ChannelFault {
    enum class Kind {
        stuck,    // the value stands still while it must move
        clipped,  // it stands at its highest: cut off there
        slow,     // renewed too seldom
        gap,      // no samples
        spike,    // a single sample far from its neighbours
        coarse,   // its steps are too large for the checks that use it
    };
    Kind kind = Kind::stuck;
    std::vector<ChannelKey> channels = {};
    bool all_channels = false;             // a gap in every row of the log
    bool whole_log = false;                // stuck from the first sample to the last
    std::optional<std::size_t> pull = {};  // index into the run's pulls
    double time_s = 0.0;                   // when it begins
    double duration_s = 0.0;
    double value = 0.0;  // stuck, clipped: what it stands at; slow: renewals a second; gap: seconds; spike: height;
                         // coarse: step
    double limit = 0.0;  // of the same kind
};

}  // namespace revwright
