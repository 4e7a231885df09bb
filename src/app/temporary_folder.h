#pragma once

#include <filesystem>

#include "core/error.h"

namespace revwright::app {

/// A folder of its own under the system's one for such things, readable by nobody else, removed with the object.
class TemporaryFolder {
public:
    /// Errors (Fault::io): it cannot be made.
    static Result<TemporaryFolder> make();
    TemporaryFolder(TemporaryFolder&& other) noexcept;
    TemporaryFolder& operator=(TemporaryFolder&&) = delete;
    ~TemporaryFolder();

    const std::filesystem::path& path() const { return path_; }

private:
    explicit TemporaryFolder(std::filesystem::path path) : path_(std::move(path)) {}
    std::filesystem::path path_;
};

}  // namespace revwright::app
