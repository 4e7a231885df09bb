#pragma once

#include <optional>
#include <span>

#include "app/open_job.h"
#include "model/power.h"

namespace revwright::app {

/// Power and torque of the logs, each tied to its [[run]] where the sheet has one.
Result<PowerReport> power_of_logs(const Path& job, std::span<const Path> logs,
                                  const std::optional<Path>& channel_sheet);

/// Draws the report. Refuses to write over one of `sources`.
Result<void> draw_power_report(const PowerReport& report, const Path& picture, std::span<const Path> sources);

/// Whether road or dynamometer carry a figure for the last set of runs.
bool states_power(const PowerReport& report);

}  // namespace revwright::app
