#pragma once

#include <functional>
#include <string>
#include <vector>

#include "app/gates.h"
#include "app/open_job.h"
#include "model/power.h"
#include "model/review.h"

namespace revwright::app {

/// One revision of the demo: what was built, what its run showed, and whether it may be signed off.
struct DemoRevision {
    int number = 0;
    std::string title = {};  // "standard image, standard hardware"
    std::string image = {};  // file names inside the demo's folder
    std::string log = {};
    std::string proposal = {};  // what this image was built from; empty for the standard one
    std::size_t changed_cells = 0;
    Digest digest = {};
    Review review = {};
    std::vector<Gate> gates = {};
    double torque_nm = 0.0, torque_rpm = 0.0, power_kw = 0.0;  // the simulated car's own truth: best of the run's pulls
    double mean_power_kw = 0.0;                                // likewise, mean of the pulls' peaks
};

struct Demo {
    Path folder;
    Goal goal = {};
    std::vector<DemoRevision> revisions = {};
    PowerReport power = {};         // of the standard run and the last one
    bool holds = false;             // every gate held on the last revision
    std::string why_it_ended = {};  // one sentence
    std::vector<std::string> files = {};
};

/// Told as each revision has been driven and reviewed.
using DemoProgress = std::function<void(const DemoRevision&)>;

/// The whole loop on the simulated car of an invented workshop: standard run, new hardware, first calibration, then
/// run, review, proposal and build until every gate holds and nothing more may rise. Leaves every file in `folder`.
Result<Demo> run_demo(const Path& folder, const DemoProgress& progress);

}  // namespace revwright::app
