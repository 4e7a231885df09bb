#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "app/open_job.h"
#include "rig/drive.h"

namespace revwright::app {

struct RigOrder {
    std::optional<Path> image;  // the standard one if not given
    std::uint64_t seed = 1;
    std::vector<rig::Fault> faults;
};

struct RigOutcome {
    Digest image;
    rig::Truth truth;
    std::size_t rows = 0;
};

/// Drives the simulated car with an image of the job, writes the log to `out`, as MDF 4 where its name ends in .mf4 and
/// else as CSV, and what really happened to `out` with .truth.json for its extension.
Result<RigOutcome> drive_rig(const Path& job, const RigOrder& order, const Path& out);

/// The path the truth of a log is written to: run.csv -> run.truth.json.
Path truth_beside(const Path& log);

}  // namespace revwright::app
