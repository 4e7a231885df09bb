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
    double air_fuel_stoichiometric = 0.0;  // with unit "AFR": the ratio that is lambda 1, 0 = that of the job's fuel
    bool optional = false;                 // a log without this channel may still be of this logger
    bool none_of_ours = false;             // is = "none": the user looked at it, and it is no canonical channel
};

struct ChannelSheet {
    std::string file;
    std::vector<ChannelRule> channels;
};

}  // namespace revwright
