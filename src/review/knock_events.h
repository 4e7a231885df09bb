#pragma once

#include <optional>
#include <span>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// A rise of the logged retard by one event's worth in one cylinder.
struct KnockEvent {
    double time_s = 0.0;
    double engine_speed_rpm = 0.0;
    int cylinder = 0;  // 0 = not known
    double rise_deg = 0.0;
    double retard_deg = 0.0;              // at its top
    std::vector<std::size_t> cells = {};  // of the spark table read there; empty = not known, the speed stands for them
    bool repeated = false;                // in a cell that knocked in two pulls
};

/// A retard level, and where it was.
struct RetardLevel {
    double deg = 0.0;
    double time_s = 0.0;
    double duration_s = 0.0;
    int cylinder = 0;
};

struct KnockPull {
    std::size_t run = 0;   // index into the runs
    std::size_t pull = 0;  // index into that run's pulls
    std::vector<KnockEvent> events;
    RetardLevel highest;  // single sample
    RetardLevel held;     // kept for 0.5 s
};

/// The knock of every pull, worst cylinder first to be seen; repeated events are marked over all runs of the same
/// image. event_deg  the rise that counts as an event
std::vector<KnockPull> knock_of(std::span<const RunView> runs, double event_deg);

/// Events in one retard trace.
std::vector<KnockEvent> knock_events_in(const Series& retard, int cylinder, double event_deg);

}  // namespace revwright
