#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/channel_sheet.h"
#include "model/log.h"

namespace revwright {

/// That a channel of the log is one of ours, and how its samples are to be taken.
struct Claim {
    std::size_t channel = 0;  // index into Log::channels
    ChannelKey key = {};
    std::string unit = {};  // what the samples are in; empty = the canonical unit
    bool gauge = false;
    double sign = 1.0;
    bool before_turbine = true;
    std::optional<Place> where = {};  // the sheet's row, or the log
};

/// Who claims what: by the sheet first, then by canonical names. Rows of the sheet that fit no channel are said in
/// log.lost. Refuses two channels with one key, and two keys for one channel.
Result<std::vector<Claim>> settle_claims(Log& log, const ChannelSheet* sheet);

}  // namespace revwright
