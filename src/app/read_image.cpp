#include "app/read_image.h"

#include <fmt/format.h>

#include "image/read.h"

namespace revwright::app {

Result<ImageTables> read_image(const Path& job_file, const std::optional<Path>& image_file, const std::string& table) {
    auto job = open_job_with_image(job_file);
    if (!job) return tl::unexpected(job.error());
    if (!table.empty() && !job->description->find(table))
        return fail(Fault::not_found, fmt::format("has no table {}", table), Place{job->description->file});
    const auto image = open_image_of(*job, image_file);
    if (!image) return tl::unexpected(image.error());
    auto tables = read_tables(*job->description, *image);
    if (!tables) return tl::unexpected(tables.error());
    return ImageTables{std::move(*job), std::move(*tables)};
}

}  // namespace revwright::app
