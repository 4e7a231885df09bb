#pragma once

#include "review/channel_fault.h"

namespace revwright {

/// A pressure or an air flow that is cut off: the end of its sensor's range, and no fault of the recording.
bool shows_end_of_range(const ChannelFault& fault);

}  // namespace revwright
