#include "app/read_image.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/job_description.h"

namespace revwright::app {
namespace {

bool describes(const OpenJob& job, const std::string& name) {
    if (!job.parameters) return job.description->find(name) != nullptr;
    return std::ranges::count(job.parameters->set.parameters, name, &ParameterDescription::name) > 0;
}

}  // namespace

Result<ImageTables> read_image(const Path& job_file, const std::optional<Path>& image_file, const std::string& table) {
    auto job = open_job_with_image(job_file, RolesAre::only_listed);
    if (!job) return tl::unexpected(job.error());
    if (!table.empty() && !describes(*job, table))
        return fail(Fault::not_found, fmt::format("has no table {}", table), Place{job->description->file});
    const auto image = open_image_of(*job, image_file);
    if (!image) return tl::unexpected(image.error());
    if (job->parameters) {
        ParameterReading reading = parameters_of(*job, *image).reading;
        return ImageTables{std::move(*job), TableSet{image->digest, {}}, std::move(reading)};
    }
    auto tables = tables_of(*job, *image);
    if (!tables) return tl::unexpected(tables.error());
    return ImageTables{std::move(*job), std::move(*tables), {}};
}

}  // namespace revwright::app
