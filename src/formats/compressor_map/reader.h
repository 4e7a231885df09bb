#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/compressor_map.h"

namespace revwright::compressor_csv {

/// Reads a compressor map from the bytes of a CSV file; docs/formats/compressor-map.md says what is read and what is
/// refused. Rows may come in any order: those within 1 % of shaft speed are one speed line.
///
/// file: what errors call it. Errors: bad_input with line and column.
Result<CompressorMap> read(std::string_view bytes, const std::string& file);

}  // namespace revwright::compressor_csv
