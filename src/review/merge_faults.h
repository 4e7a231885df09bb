#pragma once

#include <vector>

#include "model/log.h"
#include "review/channel_fault.h"

namespace revwright {

/// Whether no channel of the log has a sample between two times.
bool nothing_between(const Log& log, double from, double to);

/// Faults of one kind in one pull that several channels show over the same stretch are one: a hole in the rows, a
/// frozen logger, a lost message. Channels that are too slow or too coarse are one as well. Order is kept.
std::vector<ChannelFault> merge_faults(const Log& log, std::vector<ChannelFault> faults);

}  // namespace revwright
