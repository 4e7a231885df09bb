#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/digest.h"

namespace revwright {

/// The bytes of a calibration. `digest` is SHA-256 of the file's bytes.
struct Image {
    std::string file;
    std::uint64_t base_address = 0;  // address of bytes[0]
    std::vector<std::uint8_t> bytes = {};
    Digest digest = {};
};

}  // namespace revwright
