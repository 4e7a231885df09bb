#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/image.h"
#include "model/job.h"

namespace revwright {

/// The bytes of a file as an image, at the base address the job sheet gives. `file` is named in errors. Raw binary
/// only; an empty file, addresses past 64 bits and the hexadecimal formats are refused.
Result<Image> open_image(std::vector<std::uint8_t> bytes, std::string file, const ImageEntry& entry);

}  // namespace revwright
