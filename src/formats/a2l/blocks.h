#pragma once

#include <optional>

#include "formats/a2l/cursor.h"
#include "formats/a2l/fields.h"
#include "formats/a2l/raw.h"

namespace revwright::a2l {

// One function for each kind of block. The name of the block's kind was taken and the block is open; it is closed when
// the function returns. Nothing comes back where what the block must have is not there: that was reported.

std::optional<RawObject> read_characteristic(Cursor& cursor, const Token& block);
std::optional<RawObject> read_axis_points(Cursor& cursor, const Token& block);
std::optional<RawMeasurement> read_measurement(Cursor& cursor, const Token& block);
std::optional<RawLayout> read_layout(Cursor& cursor, const Token& block);
std::optional<RawConversion> read_conversion(Cursor& cursor, const Token& block);
std::optional<std::pair<Token, RawTable>> read_number_table(Cursor& cursor, const Token& block);
std::optional<std::pair<Token, RawWords>> read_words(Cursor& cursor, const Token& block);
std::optional<std::pair<Token, RawUnit>> read_unit(Cursor& cursor, const Token& block);
std::optional<RawStructure> read_structure(Cursor& cursor, const Token& block);
std::optional<RawInstance> read_instance(Cursor& cursor, const Token& block);
void read_common(Cursor& cursor, const Token& block, RawModule& module);

// What several blocks share.

OrderWord read_order(Fields& fields);
/// DEPOSIT: true for DIFFERENCE.
bool read_deposit(Fields& fields);
/// ECU_ADDRESS_EXTENSION; 0 is the address space of the image. A negative one stays another than 0.
unsigned read_extension(Fields& fields);
std::vector<std::size_t> read_matrix(Fields& fields, Cursor& cursor);
std::optional<StoredType> stored_type(std::string_view word);
/// The types an ALIGNMENT_.. keyword is for; empty for any other word.
std::vector<StoredType> aligned_types(std::string_view keyword);
void read_alignment(Fields& fields, std::string_view keyword, Alignments& alignments);
/// Passes over what stands behind a keyword that means nothing here but takes a name, which might look like a keyword.
/// False for other words.
bool pass_keyword(Cursor& cursor, std::string_view keyword);
/// Passes over the rest of a block.
void finish(Cursor& cursor);
/// Why the block of an object that has no /end is not to be trusted.
std::string unended(std::string_view kind);

}  // namespace revwright::a2l
