#pragma once

#include <string>

#include "core/error.h"
#include "model/record_file.h"

namespace revwright::srec {

/// Reads Motorola S-records: data with addresses of 16, 24 and 32 bits (S1, S2, S3); header (S0), counts (S5, S6) and
/// ends (S7, S8, S9) are kept. Lines end with LF or CR LF; blank ones are passed over. An end record may be missing.
///
/// Refused, with line and column: a line that does not begin with S and a digit, characters that are no hexadecimal
/// digits, a length that is not the line's, a checksum that does not prove the record, a count that is not the number
/// of data records before it, data past the last address of its width, anything after an end record. Source: Motorola,
/// M68000 Family Programmer's Reference Manual, appendix C; the check records are named in the tests.
Result<RecordFile> read(std::string text, const std::string& file);

}  // namespace revwright::srec
