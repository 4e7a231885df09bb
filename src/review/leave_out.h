#pragma once

#include <span>
#include <string>

#include "review/run_view.h"

namespace revwright {

/// Finds the faults of a run's channels (`run.faults`) and keeps the checks from judging by them: a channel that is
/// dead or stuck throughout is distrusted as a whole; the stretch a channel is stuck over, a pressure that is cut off
/// below its target, and lone wild samples become blanks in a copy of the log that the run then holds.
/// Engine speed and pedal are only reported: without them there would be no pull to speak of.
void leave_out_faults(RunView& run);

/// The log as the checks saw it: what they left out is blank. Evidence and proposals must rest on no more.
/// pulls: those of this log.
Log as_judged(const JobSheet& job, const DrivenLog& driven, std::span<const Pull> pulls);

/// Why a logged channel was left out as a whole, for "<name> ...".
std::string why_left_out(const RunView& run, ChannelKey key);

}  // namespace revwright
