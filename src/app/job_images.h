#pragma once

#include "app/open_job.h"

namespace revwright::app {

/// Reads the standard image and every image that a [[run]] names, and lists them for each log of `open`: where a log
/// does not fit the image of its run, one of them may fit. Images that can not be read are left out; a run that needs
/// one has said so already.
void list_job_images(const OpenJob& job, OpenLogs& open);

/// Whether two names are one file.
bool one_file(const Path& a, const Path& b);

/// One sentence where the job knows runs of the standard image, none of their logs is among `logs`, and another run's
/// is: nothing can be said then of what changed since.
std::vector<std::string> standard_run_notes(const OpenJob& job, std::span<const Path> logs);

}  // namespace revwright::app
