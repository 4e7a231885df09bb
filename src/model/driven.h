#pragma once

#include <span>
#include <string>

#include "model/job.h"
#include "model/log.h"
#include "model/table.h"

namespace revwright {

/// An image of the job, as a calibrator would call it: "the standard image", or its file's name.
struct JobImage {
    std::string name = {};
    const TableSet* tables = nullptr;
};

/// A log with what is known of how it was driven. `log` and `tables` outlive it.
/// run and tables are null where the job sheet does not tie the log to a run: it is reviewed, but raises no cell.
struct DrivenLog {
    const Log* log = nullptr;
    const RunEntry* run = nullptr;
    const TableSet* tables = nullptr;       // of the image it was driven with
    bool standard = false;                  // driven with the standard image: the reference for later runs
    std::span<const JobImage> images = {};  // all of the job that could be read: it may have been another one
};

}  // namespace revwright
