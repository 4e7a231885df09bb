#include "app/open_job.h"

#include <fmt/format.h>

#include "app/compressor_maps.h"
#include "app/files.h"
#include "app/job_description.h"
#include "app/job_images.h"
#include "app/open_log.h"
#include "formats/ihex/reader.h"
#include "formats/sheets/job.h"
#include "formats/srec/reader.h"
#include "image/file_bytes.h"
#include "image/open.h"

namespace revwright::app {
namespace {

/// What is wrong with a file, at the key of the sheet that names it.
tl::unexpected<Error> named_by(const JobSheet& sheet, const char* key, const Error& error) {
    return fail(error.fault, fmt::format("image.{} names {}", key, describe(error)), Place{sheet.file});
}

/// The image a run was driven with: the file it names, or any image of the job that has the digest it states.
Result<std::optional<Image>> image_of(const OpenJob& job, const RunEntry& run) {
    if (!run.image.empty()) {
        auto image = open_image_of(job, job.beside(run.image));
        if (!image) return fail(image.error().fault, describe(image.error()), run.where);
        return std::optional(std::move(*image));
    }
    if (job.standard && job.standard->digest == run.image_sha256) return job.standard;
    for (const RunEntry& other : job.sheet.runs) {
        if (other.image.empty()) continue;
        auto image = open_image_of(job, job.beside(other.image));
        if (image && image->digest == run.image_sha256) return std::optional(std::move(*image));
    }
    return std::optional<Image>();
}

Result<void> tie_to_run(const OpenJob& job, const RunEntry& run, OpenLogs& open) {
    open.driven.back().run = &run;
    if (!job.description) return {};
    auto image = image_of(job, run);
    if (!image) return tl::unexpected(image.error());
    if (!*image) {
        open.images.back() = run.image_sha256;
        return {};
    }
    const Digest digest = (*image)->digest;
    open.images.back() = digest;
    open.driven.back().standard = job.standard && job.standard->digest == digest;
    if (!open.tables.contains(digest)) {
        auto tables = tables_of(job, **image);
        if (!tables) return tl::unexpected(tables.error());
        open.tables.emplace(digest, std::move(*tables));
    }
    open.driven.back().tables = &open.tables.at(digest);
    return {};
}

}  // namespace

const RunEntry* run_of_log(const OpenJob& job, const Path& log) {
    for (const RunEntry& run : job.sheet.runs)
        if (one_file(job.beside(run.log), log)) return &run;
    return nullptr;
}

Result<OpenJob> open_job(const Path& path) {
    auto text = read_text(path);
    if (!text) return tl::unexpected(text.error());
    auto sheet = sheets::read_job(*text, path.string());
    if (!sheet) return tl::unexpected(sheet.error());
    OpenJob job{.sheet = std::move(*sheet), .folder = path.parent_path()};
    if (auto maps = load_compressor_maps(job); !maps) return tl::unexpected(maps.error());
    return job;
}

Result<OpenJob> open_job_with_image(const Path& path, RolesAre roles) {
    auto job = open_job(path);
    if (!job) return job;
    if (!job->sheet.image) return refuse("[image] is needed here: file, description and roles", Place{path.string()});
    const Path described = job->beside(job->sheet.image->description);
    auto text = read_text(described);
    if (!text) return named_by(job->sheet, "description", text.error());
    if (auto read = read_description(*job, described, *text, roles); !read) return tl::unexpected(read.error());
    if (!job->standard)
        if (auto opened = open_standard(*job); !opened) return tl::unexpected(opened.error());
    return job;
}

Result<void> open_standard(OpenJob& job) {
    auto standard = open_image_of(job, std::nullopt);
    if (!standard) return named_by(job.sheet, "file", standard.error());
    job.standard = std::move(*standard);
    return {};
}

std::vector<Path> sources_of(const OpenJob& job) {
    std::vector<Path> files{job.sheet.file, job.beside(job.sheet.image->file),
                            job.beside(job.sheet.image->description)};
    if (job.parameters) files.insert(files.end(), job.parameters->included.begin(), job.parameters->included.end());
    return files;
}

Result<Image> open_image_of(const OpenJob& job, const std::optional<Path>& file) {
    if (!file && job.standard) return *job.standard;
    const Path path = file ? *file : job.beside(job.sheet.image->file);
    auto bytes = read_bytes(path);
    if (!bytes) return tl::unexpected(bytes.error());
    const ImageEntry& entry = *job.sheet.image;
    if (entry.format == ImageFormat::binary) return open_image(std::move(*bytes), path.string(), entry);
    std::string text(bytes->begin(), bytes->end());
    auto records = entry.format == ImageFormat::ihex ? ihex::read(std::move(text), path.string())
                                                     : srec::read(std::move(text), path.string());
    if (!records) return tl::unexpected(records.error());
    return image_of_records(std::move(*records), path.string());
}

Result<std::unique_ptr<OpenLogs>> open_logs(const OpenJob& job, std::span<const Path> files,
                                            const std::optional<Path>& channel_sheet) {
    auto open = std::make_unique<OpenLogs>();
    for (const Path& file : files) {
        auto log = open_log(file, {channel_sheet, job.folder, naming_hints(job.sheet, run_of_log(job, file))});
        if (!log) return tl::unexpected(log.error());
        open->logs.push_back(std::move(*log));
        open->driven.push_back({.log = &open->logs.back()});
        open->images.emplace_back();
        if (const RunEntry* run = run_of_log(job, file))
            if (auto tied = tie_to_run(job, *run, *open); !tied) return tl::unexpected(tied.error());
    }
    list_job_images(job, *open);
    return open;
}

}  // namespace revwright::app
