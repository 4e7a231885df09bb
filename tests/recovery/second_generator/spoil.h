#pragma once

#include <string>

#include "model/log.h"
#include "recovery/second_generator/path.h"
#include "recovery/second_generator/trace_faults.h"

namespace revwright::second {

/// Spoils the recording as the fault's row says; does nothing where it says nothing.
void spoil(Log& log, const Planted& planted, const DrivenPath& path);

/// In the middle of the first pull the clock of the file steps back by 0.6 s and goes on from there.
void run_clock_back(std::string& csv, const DrivenPath& path, ScoreCase& truth);

}  // namespace revwright::second
