#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/channel.h"

namespace revwright {

/// What a logger's channel is, as a user settled it once.
struct ChannelRule {
    std::string name;  // as in the log
    ChannelKey is = {};
    std::string unit = {};  // as in the unit table, empty = the log's own; without the word "gauge"
    bool gauge = false;     // "bar gauge": the ambient pressure is to be added
    double sign = 1.0;      // -1 turns it round
    bool before_turbine = true;
    Place where = {};
};

struct ChannelSheet {
    std::string file;
    std::vector<ChannelRule> channels;
};

}  // namespace revwright
