#include "app/power_logs.h"

#include <algorithm>

#include "app/files.h"
#include "app/job_images.h"
#include "draw/power_drawing.h"
#include "power/power_report.h"
#include "review/view_runs.h"

namespace revwright::app {

Result<PowerReport> power_of_logs(const Path& job_file, std::span<const Path> logs,
                                  const std::optional<Path>& channel_sheet) {
    auto job = open_job(job_file);
    if (job && job->sheet.image) job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    const auto open = open_logs(*job, logs, channel_sheet);
    if (!open) return tl::unexpected(open.error());
    return power_report(job->sheet, view_runs(job->sheet, (*open)->driven));
}

Result<void> draw_power_report(const PowerReport& report, const Path& picture, std::span<const Path> sources) {
    const auto is_source = [&](const Path& source) { return one_file(source, picture); };
    if (std::ranges::any_of(sources, is_source))
        return refuse("is an input of this command and is not written over", Place{picture.string()});
    return write_file(picture, draw::power_svg(report));
}

bool states_power(const PowerReport& report) { return measured_power(report); }

}  // namespace revwright::app
