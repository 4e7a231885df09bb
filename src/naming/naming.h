#pragma once

#include "core/error.h"
#include "model/channel_sheet.h"
#include "model/log.h"

namespace revwright {

/// Says which channels of a log are ours, and brings those to the canonical unit and sign, in place.
///
/// The channel sheet speaks first, then headers that are canonical names; everything else stays without a key.
/// A gauge pressure has the logged ambient pressure added, interpolated to its own times and held at the ends; where
/// none is logged 101.325 kPa (ISO 2533, sea level) is assumed. Knock retard that is stored as a negative correction is
/// turned round. sheet: may be null. Rows for channels that the log lacks, and assumptions, are said in Log::lost.
/// Errors: a unit that is unknown or measures something else, two channels that claim the same name of ours.
Result<Log> name_channels(Log log, const ChannelSheet* sheet);

}  // namespace revwright
