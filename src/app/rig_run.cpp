#include "app/rig_run.h"

#include <algorithm>
#include <cctype>
#include <string>

#include "app/files.h"
#include "app/job_description.h"
#include "app/truth_json.h"
#include "formats/csv/writer.h"
#include "formats/mdf4/writer.h"

namespace revwright::app {
namespace {

bool names_mdf4(const Path& file) {
    std::string extension = file.extension().string();
    std::ranges::transform(extension, extension.begin(), [](unsigned char c) { return std::tolower(c); });
    return extension == ".mf4";
}

Result<void> write_log(const Path& file, const Log& log) {
    return names_mdf4(file) ? write_file(file, mdf4::write(log, {.deflate = true})) : write_file(file, csv::write(log));
}

}  // namespace

Path truth_beside(const Path& log) { return Path(log).replace_extension(".truth.json"); }

Result<RigOutcome> drive_rig(const Path& job_file, const RigOrder& order, const Path& out) {
    const auto job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    const auto image = open_image_of(*job, order.image);
    if (!image) return tl::unexpected(image.error());
    std::vector<Path> sources = sources_of(*job);
    if (order.image) sources.push_back(*order.image);
    for (const Path& output : {out, truth_beside(out)})
        if (const auto kept = keep_sources(output, sources); !kept) return tl::unexpected(kept.error());
    const auto tables = tables_of(*job, *image);
    if (!tables) return tl::unexpected(tables.error());
    auto run = rig::drive({.job = job->sheet, .tables = *tables, .seed = order.seed, .faults = order.faults});
    if (!run) return tl::unexpected(run.error());
    if (const auto written = write_log(out, run->log); !written) return tl::unexpected(written.error());
    const std::string truth = truth_json(run->truth, out.filename().string());
    if (const auto written = write_file(truth_beside(out), truth); !written) return tl::unexpected(written.error());
    const std::size_t rows = run->log.time_bases.empty() ? 0 : run->log.time_bases.front().seconds.size();
    return RigOutcome{image->digest, std::move(run->truth), rows};
}

}  // namespace revwright::app
