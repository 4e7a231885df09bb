#pragma once

#include <string>

#include "core/error.h"
#include "model/record_file.h"

namespace revwright::ihex {

/// Reads Intel HEX: data (00), end (01), extended segment and linear addresses (02, 04); start addresses (03, 05) are
/// kept and mean nothing here. Lines end with LF or CR LF; blank ones are passed over.
///
/// Refused, with line and column: a line that does not begin with a colon, characters that are no hexadecimal digits, a
/// length that is not the line's, a checksum that does not prove the record, another record type, data past the end of
/// its 64 KiB, anything after the end record, and a file without one: it may have been cut. Source: Intel, Hexadecimal
/// Object File Format Specification, Revision A (1988); the check records are named in the tests.
Result<RecordFile> read(std::string text, const std::string& file);

}  // namespace revwright::ihex
