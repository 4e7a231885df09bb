#pragma once

#include "core/error.h"
#include "model/channel_sheet.h"
#include "model/log.h"
#include "naming/hints.h"

namespace revwright {

/// Says which channels of a log are ours, and brings those to the canonical unit and sign, in place.
///
/// The channel sheet speaks first, then headers that are canonical names. What neither names is taken by the words of
/// its name, its unit and its samples, and only where one meaning is left and one channel has it: else it keeps no key,
/// and Channel::candidates and Channel::doubt say what it may be and why that stayed open.
/// docs/formats/channel-sheet.md has the rules. A gauge pressure has the ambient pressure added: logged, interpolated
/// to its own times and held at the ends; else the hints'; else 101.325 kPa (ISO 2533, sea level). Knock retard that is
/// stored as a negative correction is turned round. sheet: may be null. Rows for channels that the log lacks, and
/// assumptions, are said in Log::lost. Named channels have Channel::read_as; an absolute pressure below zero is said in
/// Log::quality and Channel::quality. Errors: a unit of a user's claim that is unknown or measures something else, two
/// channels that users gave one name. Channels of words are never ours; of one that stands in several groups of the
/// file the one renewed most often is named (naming/repeated.h).
Result<Log> name_channels(Log log, const ChannelSheet* sheet, const NamingHints& hints = {});

}  // namespace revwright
