#pragma once

#include <cmath>
#include <cstddef>

#include "model/log.h"

namespace revwright {

inline void must(bool holds) {
    if (!holds) __builtin_trap();
}

/// What a log of any format promises to the code behind it.
inline void keeps_promises(const Log& log) {
    for (const TimeBase& base : log.time_bases)
        for (std::size_t i = 0; i < base.seconds.size(); ++i) {
            must(std::isfinite(base.seconds[i]));
            must(i == 0 || base.seconds[i - 1] < base.seconds[i]);
        }
    for (const Channel& channel : log.channels) {
        must(channel.time_base < log.time_bases.size());
        must(channel.values.size() == log.time_bases[channel.time_base].seconds.size());
    }
}

}  // namespace revwright
