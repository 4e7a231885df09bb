#pragma once

#include <cstdint>
#include <vector>

#include "model/log.h"

namespace revwright::mdf4 {

struct WriteOptions {
    bool deflate = false;             // transposed and deflated, in pieces of at most 4 MiB
    std::uint64_t start_time_ns = 0;  // of the recording, in nanoseconds since 1970, UTC; never taken from a clock
};

/// The log as a sorted and finalised MDF 4.10 file that read() takes: one group for each time base, or for each group
/// of the file it was read from, with its time in seconds as master, then its channels under their canonical names, or
/// their own where they are none of ours, each with the unit its values have. Every sample reads back bit for bit; a
/// missing one is marked by its invalidation bit. Words are written as a conversion from number to text. The same log
/// and options give the same bytes. Not written: quality notes, candidates and what was lost, which reading finds again
/// or which belong to another file.
std::vector<std::uint8_t> write(const Log& log, const WriteOptions& options = {});

}  // namespace revwright::mdf4
