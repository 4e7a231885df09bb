#pragma once

#include "review/run_view.h"

namespace revwright {

/// A log without a [[run]] is taken as driven on the road.
inline RunPlace place_of(const RunView& run) { return run.driven.run ? run.driven.run->place : RunPlace::road; }
inline bool on_road(const RunView& run) { return place_of(run) == RunPlace::road; }

/// Road and dynamometer are not pooled: air, wind and heat differ, and each would need an effect of its own.
inline bool same_place(const RunView& a, const RunView& b) { return place_of(a) == place_of(b); }

}  // namespace revwright
