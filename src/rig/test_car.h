#pragma once

#include <stdexcept>

#include "core/error.h"
#include "formats/sheets/job.h"
#include "rig/drive.h"
#include "rig/example_car.h"

namespace revwright::rig {

/// The example's own job sheet, read.
inline const JobSheet& example_job() {
    static const JobSheet job = [] {
        auto read = sheets::read_job(example_job_sheet(), "example.toml");
        if (!read) throw std::runtime_error(describe(read.error()));
        return *read;
    }();
    return job;
}

inline const TableSet& example_tables_read() {
    static const TableSet tables = standard_tables();
    return tables;
}

/// The standard car: the hardware of the job sheet not yet fitted.
inline RigSetup standard_setup(std::uint64_t seed) {
    RigSetup setup{.job = example_job(), .tables = example_tables_read(), .seed = seed};
    setup.hardware_fitted = false;
    return setup;
}

inline RigRun must_drive(const RigSetup& setup) {
    auto run = drive(setup);
    if (!run) throw std::runtime_error(describe(run.error()));
    return std::move(*run);
}

inline Series series_of(const Log& log, Signal signal, int part = 0) {
    const Channel* channel = log.find(ChannelKey{signal, part});
    if (channel == nullptr) throw std::runtime_error("channel missing");
    return log.series(*channel);
}

}  // namespace revwright::rig
