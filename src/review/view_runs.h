#pragma once

#include <span>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// Finds the pulls of every log, numbered over all of them, with directions, what was left out, and the channels that
/// are not to be trusted. What `logs` and `job` point at outlives the views.
std::vector<RunView> view_runs(const JobSheet& job, std::span<const DrivenLog> logs);

}  // namespace revwright
