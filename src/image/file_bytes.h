#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/image.h"
#include "model/record_file.h"

namespace revwright {

/// The image that lines of records describe: the bytes in order of address,
/// with holes where no record is. Refused: two records that hold the same
/// address.
Result<Image> image_of_records(RecordFile records, std::string file);

/// The file's bytes. Of records: the text it was read from, in which only data
/// digits of bytes that changed, and the checksums of their records, differ;
/// the digits in the case that the record, else the file, uses.
std::vector<std::uint8_t> file_bytes(const Image& image);

}  // namespace revwright
