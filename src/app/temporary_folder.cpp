#include "app/temporary_folder.h"

#include <cerrno>
#include <cstdlib>
#include <fmt/format.h>
#include <system_error>
#include <utility>

namespace revwright::app {

Result<TemporaryFolder> TemporaryFolder::make() {
    std::error_code error;
    std::string pattern = (std::filesystem::temp_directory_path(error) / "revwright-XXXXXX").string();
    if (error || ::mkdtemp(pattern.data()) == nullptr)
        return fail(Fault::io, fmt::format("cannot make a folder to work in, {}: {}", pattern,
                                           error ? error.message() : std::generic_category().message(errno)));
    return TemporaryFolder(pattern);
}

TemporaryFolder::TemporaryFolder(TemporaryFolder&& other) noexcept : path_(std::exchange(other.path_, {})) {}

TemporaryFolder::~TemporaryFolder() {
    std::error_code ignored;  // what cannot be removed is the system's to clear
    if (!path_.empty()) std::filesystem::remove_all(path_, ignored);
}

}  // namespace revwright::app
