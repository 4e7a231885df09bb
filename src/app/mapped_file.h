#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string_view>
#include <vector>

#include "core/error.h"

namespace revwright::app {

/// A whole file to be read, mapped into memory so that none of it is copied. What cannot be mapped, such as a pipe, is
/// read instead.
///
/// What another program does to the file meanwhile: replacing it by renaming, as our own write_file does, is harmless.
/// Writing into it may show in the bytes. Shortening it takes pages away, and touching one of those ends this program
/// (SIGBUS): we do not catch that, as a handler would have to be one for the whole program. unchanged() tells whether
/// anything of the kind has happened; ask it after the bytes were used and before the result is believed.
class MappedFile {
public:
    /// A folder, a missing or unreadable file is the same Error as of read_bytes.
    static Result<MappedFile> open(const std::filesystem::path& file);

    MappedFile(MappedFile&& other) noexcept;
    MappedFile& operator=(MappedFile&& other) noexcept;
    MappedFile(const MappedFile&) = delete;
    MappedFile& operator=(const MappedFile&) = delete;
    ~MappedFile();

    /// Of no length for an empty file.
    std::span<const std::uint8_t> bytes() const;
    /// The same bytes; no byte that ends them stands behind.
    std::string_view text() const;
    bool is_mapped() const { return start_ != nullptr; }

    /// Refuses a file whose length or time of writing is no longer what it was when it was opened.
    Result<void> unchanged() const;

private:
    struct Version {
        std::size_t length = 0;
        std::int64_t written_s = 0, written_ns = 0;
        friend bool operator==(const Version&, const Version&) = default;
    };
    MappedFile() = default;
    Result<void> map();
    void take(MappedFile& other);
    void release();
    bool look(Version& version) const;

    std::filesystem::path file_;
    int descriptor_ = -1;
    const std::uint8_t* start_ = nullptr;
    Version opened_;
    std::vector<std::uint8_t> read_;  // where the file is not mapped
};

}  // namespace revwright::app
