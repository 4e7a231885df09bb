#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "core/digest.h"
#include "core/error.h"

namespace revwright::book {

/// Bytes in files named by their digest, packed. A file is there whole or not at all: it is written elsewhere, made
/// durable and moved to its place.
class BlobFolder {
public:
    /// The folder is made where it does not exist. Errors (Fault::io): it cannot be.
    static Result<BlobFolder> open(const std::filesystem::path& folder);

    Result<Digest> keep(std::string_view bytes);
    Result<std::string> fetch(const Digest& digest) const;
    Result<std::vector<Digest>> kept() const;

private:
    explicit BlobFolder(std::filesystem::path folder) : folder_(std::move(folder)) {}
    std::filesystem::path place_of(const Digest& digest) const;
    std::filesystem::path folder_;
};

}  // namespace revwright::book
