#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/image.h"
#include "model/job.h"

namespace revwright {

/// The bytes of a file as an image, at the base address the job sheet gives.
/// `file` is named in errors. Raw binary; files of records go through
/// image_of_records (file_bytes.h). Refused: an empty file, addresses past 64
/// bits.
Result<Image> open_image(std::vector<std::uint8_t> bytes, std::string file, const ImageEntry& entry);

}  // namespace revwright
