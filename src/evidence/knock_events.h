#pragma once

#include <optional>
#include <span>
#include <vector>

#include "model/log.h"
#include "review/derived.h"

namespace revwright {

/// How a control unit answers knock: each event adds a step of retard, which then decays at a steady rate, and no
/// retard goes beyond the ceiling. Identified from the log.
struct KnockLaw {
    double step_deg = 0.0;
    double decay_deg_s = 0.0;
    std::optional<double> ceiling_deg = {};
};

/// One rise of a cylinder's retard.
struct RecoveredKnock {
    double time_s = 0.0;      // of the first sample after it
    int cylinder = 0;         // counts from 1; 0 = the log does not say which
    double count = 1.0;       // knocking cycles it stands for
    double retard_deg = 0.0;  // reached
};

/// A stretch in which a cylinder's retard stood at its ceiling, so that further events left no trace.
struct CensoredStretch {
    int cylinder = 0;
    double start_s = 0.0, end_s = 0.0;
};

struct RetardTrace {
    int cylinder = 0;
    Samples samples;
};

struct KnockHistory {
    KnockLaw law;
    std::vector<RetardTrace> traces;     // what was logged, in order of cylinder
    std::vector<RecoveredKnock> events;  // in order of time, then cylinder
    std::vector<CensoredStretch> censored;
};

/// Knock events recovered from logged retard.
///
/// Model: r(t + dt) = max(0, r - a dt) + s k. Step s and decay a are identified from all cylinders together; a rise of
/// 1 degree or more (corrected for the decay) is round((dr + a dt) / s) events, at least one. Source: METHODS 1.2 of
/// the design notes; the 1 degree is the contract's definition of a knock event.
KnockHistory recover_knock_events(std::vector<RetardTrace> traces);

/// Takes the per-cylinder channels; the one without suffix (cylinder 0) is used where no cylinder is named.
KnockHistory recover_knock_events(const Log& log);

/// The retard of a trace at time t: the last sample before it holds. 0 before the first.
double retard_at(const RetardTrace& trace, double t);

}  // namespace revwright
