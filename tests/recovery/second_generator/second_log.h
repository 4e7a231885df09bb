#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "model/job.h"
#include "model/log.h"
#include "recovery/score.h"
#include "recovery/second_generator/recorder.h"
#include "recovery/second_generator/trace_faults.h"

namespace revwright::second {

struct SecondSetup {
    CarKind car = CarKind::turbo_direct;
    Recorder recorder = Recorder::even_10hz;
    const FaultRow* fault = nullptr;  // nothing: a clean log
    std::uint64_t seed = 1;
};

/// A log, the job it belongs to, and what happened in it. `truth` lacks the review.
struct SecondLog {
    JobSheet job;
    RunEntry run;  // where it was driven, and in which air
    Log log;
    std::string csv;  // the same as a logger's file; a clock fault is in it alone
    ScoreCase truth;
};

/// Pure: the same setup gives the same log, bit for bit.
SecondLog second_log(const SecondSetup& setup);

}  // namespace revwright::second
