#include "app/job_folder.h"

#include <algorithm>
#include <fmt/format.h>
#include <system_error>

#include "app/files.h"

namespace revwright::app {
namespace {

class LayingOut {
public:
    LayingOut(book::Book& book, const JobStory& story, const Path& folder)
        : book_(book), story_(story), folder_(folder) {}

    Result<JobFolder> run(const std::optional<RunAdded>& more) {
        const auto sheet = book_.fetch(story_.job.sheet.digest);
        if (!sheet) return tl::unexpected(sheet.error());
        text_ = *sheet;
        for (const KeptFile& file : story_.job.files)
            if (auto done = put(file, file.name); !done) return tl::unexpected(done.error());
        for (const StoryRevision& revision : story_.revisions) {
            const Path name = place_of(revision);
            if (auto done = put(revision.image, name); !done) return tl::unexpected(done.error());
            laid_out_.images.push_back(folder_ / name);
        }
        for (const StoryRevision& revision : story_.revisions)
            for (const StoryRun& run : revision.runs)
                if (auto done = put_run(run.run, revision, std::to_string(run.entry)); !done)
                    return tl::unexpected(done.error());
        if (more)
            for (const StoryRevision& revision : story_.revisions)
                if (revision.image.digest == more->image)
                    if (auto done = put_run(*more, revision, "new"); !done) return tl::unexpected(done.error());
        laid_out_.sheet = folder_ / story_.job.sheet.name;
        if (auto done = write(laid_out_.sheet, text_); !done) return tl::unexpected(done.error());
        return std::move(laid_out_);
    }

private:
    static Path place_of(const StoryRevision& revision) {
        const Path name = revision.image.name;
        return revision.number == 0 ? name : Path("revisions") / std::to_string(revision.number) / name.filename();
    }

    Result<void> put_run(const RunAdded& run, const StoryRevision& revision, const std::string& part) {
        const Path name = Path("runs") / part / Path(run.log.name).filename();
        if (auto done = put(run.log, name); !done) return done;
        laid_out_.runs.push_back({folder_ / name, revision.number});
        text_ +=
            fmt::format("\n[[run]]\nlog = '{}'\nimage = '{}'\n{}", name.string(), place_of(revision).string(), run.run);
        return {};
    }

    Result<void> put(const KeptFile& file, const Path& name) {
        if (!stays_inside(name))
            return fail(Fault::io,
                        fmt::format("the book names a file that would lie outside its job: {}", name.string()));
        const auto bytes = book_.fetch(file.digest);
        if (!bytes) return tl::unexpected(bytes.error());
        return write(folder_ / name, *bytes);
    }

    static Result<void> write(const Path& path, std::string_view bytes) {
        std::error_code error;
        std::filesystem::create_directories(path.parent_path(), error);
        if (error)
            return fail(Fault::io, fmt::format("cannot make {}: {}", path.parent_path().string(), error.message()));
        return write_file(path, bytes);
    }

    book::Book& book_;
    const JobStory& story_;
    Path folder_;
    std::string text_;
    JobFolder laid_out_;
};

}  // namespace

bool stays_inside(const Path& name) {
    if (name.empty() || name.is_absolute()) return false;
    const Path normal = name.lexically_normal();
    // A line end or a quote would say something of its own in the sheet.
    return *normal.begin() != ".." && normal != "." && normal.string().find_first_of("'\n\r") == std::string::npos;
}

std::vector<Path> JobFolder::logs() const {
    std::vector<Path> logs;
    for (const LaidOutRun& run : runs) logs.push_back(run.log);
    return logs;
}

std::vector<Path> JobFolder::logs_of(std::size_t revision) const {
    std::vector<Path> logs;
    for (const LaidOutRun& run : runs)
        if (run.revision == revision) logs.push_back(run.log);
    return logs;
}

Result<JobFolder> lay_out(book::Book& book, const JobStory& story, const Path& folder,
                          const std::optional<RunAdded>& more) {
    return LayingOut(book, story, folder).run(more);
}

}  // namespace revwright::app
