#include "book/blob_folder.h"

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <fcntl.h>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <span>
#include <system_error>
#include <unistd.h>

#include "book/packed.h"

namespace revwright::book {
namespace {

namespace fs = std::filesystem;

constexpr auto kForgotten = std::chrono::hours(24);  // a file on its way for so long was left by a crash

tl::unexpected<Error> failed(const fs::path& path, const char* what, int error) {
    return fail(Fault::io, fmt::format("{} {}: {}", what, path.string(), std::generic_category().message(error)));
}

/// A descriptor that closes itself.
class Descriptor {
public:
    Descriptor(const fs::path& path, int flags) : value_(::open(path.c_str(), flags | O_CLOEXEC, 0600)) {}
    ~Descriptor() {
        if (value_ >= 0) ::close(value_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    explicit operator bool() const { return value_ >= 0; }
    int operator*() const { return value_; }

private:
    int value_;
};

Result<void> write_all(int descriptor, std::string_view bytes, const fs::path& path) {
    while (!bytes.empty()) {
        const ssize_t written = ::write(descriptor, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return failed(path, "cannot write", errno);
        bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    if (::fsync(descriptor) != 0) return failed(path, "cannot write", errno);
    return {};
}

/// What a folder lists survives a crash only once the folder itself is written.
Result<void> settle(const fs::path& folder) {
    const Descriptor descriptor(folder, O_RDONLY | O_DIRECTORY);
    if (!descriptor || ::fsync(*descriptor) != 0) return failed(folder, "cannot write", errno);
    return {};
}

void clear_forgotten(const fs::path& incoming) {
    std::error_code ignored;  // somebody else may clear it as well
    for (const fs::directory_entry& file : fs::directory_iterator(incoming, ignored)) {
        const auto written = file.last_write_time(ignored);
        if (!ignored && fs::file_time_type::clock::now() - written > kForgotten) fs::remove(file.path(), ignored);
    }
}

}  // namespace

Result<BlobFolder> BlobFolder::open(const fs::path& folder) {
    std::error_code error;
    fs::create_directories(folder / "incoming", error);
    if (error) return failed(folder, "cannot make", error.value());
    clear_forgotten(folder / "incoming");
    return BlobFolder(folder);
}

fs::path BlobFolder::place_of(const Digest& digest) const {
    const std::string name = to_hex(digest);
    return folder_ / name.substr(0, 2) / name.substr(2);
}

Result<Digest> BlobFolder::keep(std::string_view bytes) {
    const Digest digest = sha256({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
    const fs::path place = place_of(digest);
    std::error_code error;
    if (fs::exists(place, error)) return digest;
    const bool is_new = fs::create_directories(place.parent_path(), error);
    if (error) return failed(place.parent_path(), "cannot make", error.value());
    // A name of its own for each process and each file.
    static std::atomic<unsigned> count = 0;
    const fs::path incoming = folder_ / "incoming" / fmt::format("{}-{}", ::getpid(), count++);
    {
        const Descriptor file(incoming, O_WRONLY | O_CREAT | O_TRUNC);
        if (!file) return failed(incoming, "cannot make", errno);
        if (auto done = write_all(*file, pack(bytes), incoming); !done) {
            fs::remove(incoming, error);
            return tl::unexpected(done.error());
        }
    }
    fs::rename(incoming, place, error);
    if (error) return failed(place, "cannot make", error.value());
    if (auto done = settle(place.parent_path()); !done) return tl::unexpected(done.error());
    if (is_new)
        if (auto done = settle(folder_); !done) return tl::unexpected(done.error());
    return digest;
}

Result<std::string> BlobFolder::fetch(const Digest& digest) const {
    const fs::path place = place_of(digest);
    std::ifstream file(place, std::ios::binary);
    if (!file) return fail(Fault::not_found, fmt::format("the book does not keep {}", to_hex(digest)));
    const std::string packed{std::istreambuf_iterator<char>(file), {}};
    if (file.bad()) return failed(place, "cannot read", EIO);
    return unpack(packed, digest);
}

Result<std::vector<Digest>> BlobFolder::kept() const {
    std::vector<Digest> digests;
    std::error_code error;
    for (const fs::directory_entry& part : fs::directory_iterator(folder_, error)) {
        const std::string begin = part.path().filename().string();
        if (begin.size() != 2) continue;
        for (const fs::directory_entry& file : fs::directory_iterator(part.path(), error))
            if (const auto digest = digest_from_hex(begin + file.path().filename().string()))
                digests.push_back(*digest);
    }
    if (error) return failed(folder_, "cannot read", error.value());
    std::ranges::sort(digests);
    return digests;
}

}  // namespace revwright::book
