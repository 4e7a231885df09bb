#include "app/files.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fmt/format.h>
#include <memory>
#include <system_error>

namespace revwright::app {
namespace {

struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
};
using File = std::unique_ptr<std::FILE, Close>;

std::string reason() { return std::strerror(errno); }

template <class Buffer>
Result<Buffer> read_into(const std::filesystem::path& path) {
    std::error_code error;
    if (std::filesystem::is_directory(path, error))
        return refuse("expected a file, found a folder", Place{path.string()});
    const File file(std::fopen(path.c_str(), "rb"));
    if (!file) return fail(Fault::not_found, fmt::format("cannot be read: {}", reason()), Place{path.string()});
    Buffer bytes;
    const auto size = std::filesystem::file_size(path, error);
    if (!error) bytes.resize(static_cast<std::size_t>(size));
    std::size_t used = 0;
    // A pipe has no size, and a file may grow while it is read: go on until nothing more comes.
    while (true) {
        if (used == bytes.size()) bytes.resize(used + (error ? 1 << 16 : 1));
        const std::size_t got = std::fread(bytes.data() + used, 1, bytes.size() - used, file.get());
        used += got;
        if (got == 0) break;
    }
    if (std::ferror(file.get()))
        return fail(Fault::io, fmt::format("cannot be read: {}", reason()), Place{path.string()});
    bytes.resize(used);
    return bytes;
}

}  // namespace

Result<std::vector<std::uint8_t>> read_bytes(const std::filesystem::path& file) {
    return read_into<std::vector<std::uint8_t>>(file);
}

Result<std::string> read_text(const std::filesystem::path& file) { return read_into<std::string>(file); }

Result<void> write_file(const std::filesystem::path& target, std::span<const std::uint8_t> bytes) {
    const auto failed = [&](const std::string& why) {
        return fail(Fault::io, fmt::format("cannot be written: {}", why), Place{target.string()});
    };
    const std::filesystem::path beside = target.string() + ".part";
    {
        File file(std::fopen(beside.c_str(), "wb"));
        if (!file) return failed(reason());
        const bool written = std::fwrite(bytes.data(), 1, bytes.size(), file.get()) == bytes.size();
        if (!written || std::fflush(file.get()) != 0) {
            const std::string why = reason();
            file.reset();
            std::remove(beside.c_str());
            return failed(why);
        }
    }
    std::error_code error;
    std::filesystem::rename(beside, target, error);
    if (error) {
        std::remove(beside.c_str());
        return failed(error.message());
    }
    return {};
}

Result<void> keep_sources(const std::filesystem::path& target, std::span<const std::filesystem::path> sources) {
    std::error_code error;
    for (const std::filesystem::path& source : sources)
        if (std::filesystem::equivalent(target, source, error))
            return refuse("is read here and must not be written over, another name for the output expected",
                          Place{target.string()});
    return {};
}

Result<void> write_file(const std::filesystem::path& target, std::string_view text) {
    return write_file(target, {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

}  // namespace revwright::app
