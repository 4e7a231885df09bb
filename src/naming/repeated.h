#pragma once

#include "model/log.h"

namespace revwright {

/// A file of several groups may hold one channel in more than one of them, once fast and once slowly. Marks as
/// Channel::repeated all but the one whose value is renewed most often; so only that one is named. Channels are one
/// where name and unit are the same, that one lasts as long as the other, and the other's samples are its own but for
/// the moments between: what differs stays apart, since one name may be said by two control units.
void mark_repeated(Log& log);

/// For each channel that was named and stands in several groups one sentence in Log::lost: which was taken.
void say_repeated(Log& log);

}  // namespace revwright
