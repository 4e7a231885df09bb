#include "app/mapped_file.h"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>
#include <utility>

#include "app/files.h"

namespace revwright::app {
namespace {

/// Looked at before it is opened: to open a pipe and close it again would break it for the program at its other end.
bool can_be_mapped(const std::filesystem::path& file) {
    std::error_code error;
    if (!std::filesystem::is_regular_file(file, error)) return false;
    // Files of the kernel say that they are empty, and are not.
    return std::filesystem::file_size(file, error) > 0 && !error;
}

}  // namespace

Result<MappedFile> MappedFile::open(const std::filesystem::path& file) {
    MappedFile opened;
    opened.file_ = file;
    if (can_be_mapped(file)) {
        if (const auto done = opened.map(); !done) return tl::unexpected(done.error());
        if (opened.is_mapped()) return opened;
    }
    auto bytes = read_bytes(file);
    if (!bytes) return tl::unexpected(bytes.error());
    opened.read_ = *std::move(bytes);
    return opened;
}

/// Leaves start_ null where the file system maps no files.
Result<void> MappedFile::map() {
    descriptor_ = ::open(file_.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor_ < 0 || !look(opened_))
        return fail(Fault::not_found, fmt::format("cannot be read: {}", std::strerror(errno)), Place{file_.string()});
    if (opened_.length > 0) {
        void* const start = ::mmap(nullptr, opened_.length, PROT_READ, MAP_PRIVATE, descriptor_, 0);
        if (start != MAP_FAILED) {
            start_ = static_cast<const std::uint8_t*>(start);
            ::madvise(start, opened_.length, MADV_SEQUENTIAL);  // advice only: without it the bytes are the same
            return {};
        }
    }
    release();
    return {};
}

bool MappedFile::look(Version& version) const {
    struct stat now{};
    if (::fstat(descriptor_, &now) != 0) return false;
    version = {static_cast<std::size_t>(now.st_size), now.st_mtim.tv_sec, now.st_mtim.tv_nsec};
    return true;
}

Result<void> MappedFile::unchanged() const {
    if (!is_mapped()) return {};  // what was read is ours
    Version now;
    if (!look(now))
        return fail(Fault::io, fmt::format("cannot be read: {}", std::strerror(errno)), Place{file_.string()});
    if (now.length != opened_.length)
        return fail(Fault::conflict,
                    fmt::format("expected a file that stays as it is while it is read, found its length changed from "
                                "{} to {} bytes",
                                opened_.length, now.length),
                    Place{file_.string()});
    if (now != opened_)
        return fail(Fault::conflict,
                    "expected a file that stays as it is while it is read, found that it was written to",
                    Place{file_.string()});
    return {};
}

std::span<const std::uint8_t> MappedFile::bytes() const {
    if (is_mapped()) return {start_, opened_.length};
    return read_;
}

std::string_view MappedFile::text() const {
    const auto all = bytes();
    return {reinterpret_cast<const char*>(all.data()), all.size()};
}

void MappedFile::take(MappedFile& other) {
    file_ = std::move(other.file_);
    descriptor_ = std::exchange(other.descriptor_, -1);
    start_ = std::exchange(other.start_, nullptr);
    opened_ = std::exchange(other.opened_, {});
    read_ = std::move(other.read_);
}

void MappedFile::release() {
    // Neither call can fail on what we hold, and there would be nothing to do about it.
    if (is_mapped()) ::munmap(const_cast<std::uint8_t*>(start_), opened_.length);
    if (descriptor_ >= 0) ::close(descriptor_);
    start_ = nullptr;
    descriptor_ = -1;
}

MappedFile::MappedFile(MappedFile&& other) noexcept { take(other); }

MappedFile& MappedFile::operator=(MappedFile&& other) noexcept {
    if (this == &other) return *this;
    release();
    take(other);
    return *this;
}

MappedFile::~MappedFile() { release(); }

}  // namespace revwright::app
