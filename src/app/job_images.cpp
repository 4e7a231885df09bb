#include "app/job_images.h"

#include <algorithm>
#include <fmt/format.h>

#include "app/job_description.h"

namespace revwright::app {
namespace {

void add(const OpenJob& job, const Image& image, std::string name, OpenLogs& open) {
    const auto known = [&](const JobImage& listed) { return listed.tables->image == image.digest; };
    if (std::ranges::any_of(open.job_images, known)) return;
    if (!open.tables.contains(image.digest)) {
        auto tables = tables_of(job, image);
        if (!tables) return;
        open.tables.emplace(image.digest, std::move(*tables));
    }
    open.job_images.push_back({std::move(name), &open.tables.at(image.digest)});
}

bool of_standard(const OpenJob& job, const RunEntry& run) {
    if (run.image_sha256) return run.image_sha256 == job.standard->digest;
    const auto image = open_image_of(job, job.beside(run.image));
    return image && image->digest == job.standard->digest;
}

bool among(const OpenJob& job, const RunEntry& run, std::span<const Path> logs) {
    return std::ranges::any_of(logs, [&](const Path& log) { return one_file(job.beside(run.log), log); });
}

}  // namespace

bool one_file(const Path& a, const Path& b) {
    std::error_code error;
    return std::filesystem::weakly_canonical(a, error) == std::filesystem::weakly_canonical(b, error);
}

void list_job_images(const OpenJob& job, OpenLogs& open) {
    if (!job.description || !job.standard) return;
    add(job, *job.standard, "the standard image", open);
    for (const RunEntry& run : job.sheet.runs) {
        if (run.image.empty()) continue;
        if (const auto image = open_image_of(job, job.beside(run.image))) add(job, *image, run.image, open);
    }
    for (DrivenLog& driven : open.driven) driven.images = open.job_images;
}

std::vector<std::string> standard_run_notes(const OpenJob& job, std::span<const Path> logs) {
    if (!job.standard) return {};
    std::vector<std::string> standard;
    bool later = false;
    for (const RunEntry& run : job.sheet.runs) {
        const bool is_standard = of_standard(job, run), given = among(job, run, logs);
        if (is_standard && given) return {};
        if (is_standard) standard.push_back(run.log);
        later = later || given;
    }
    if (standard.empty() || !later) return {};
    return {
        fmt::format("The job has a run of the standard image ({}) that was not given here: add its log to see what "
                    "changed since.",
                    fmt::join(standard, ", "))};
}

}  // namespace revwright::app
