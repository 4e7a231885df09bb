#pragma once

#include <string>
#include <string_view>

#include "core/error.h"
#include "model/description.h"

namespace revwright::sheets {

/// Reads a table sheet (TOML, schema "revwright.tables/1"; docs/formats/table-sheet.md has every key): the description
/// of an image that has no A2L. Errors carry line and column. Whether the addresses lie inside an image is not known
/// here. Tables whose cells overlap each other or an axis are refused: a change of one would change the other unseen.
Result<Description> read_table_sheet(std::string_view text, const std::string& file);

}  // namespace revwright::sheets
