#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "core/unit.h"
#include "formats/csv/dialect.h"

namespace revwright::csv {

struct Column {
    std::string name;  // without its unit
    std::string unit;  // as the file writes it, empty where it gives none
};

struct Header {
    std::vector<Column> columns;
    std::size_t time = 0;         // which column is the time
    UnitConversion seconds = {};  // from its unit
};

/// Most columns that are read; a wider header is taken for something else.
inline constexpr std::size_t kMostColumns = 10'000;

/// Names, units (of the header's brackets, else of the unit row) and the time column. Refuses a header without a time
/// column, with a time in a unit that is none of time, or with too many columns.
Result<Header> read_header(const Dialect& dialect, const std::string& file);

/// "Drehzahl [1/min]" -> {"Drehzahl", "1/min"}. Square brackets at the end hold a unit unless they hold an index
/// ("cell[2]"), round ones only where the unit is known ("Lambda (bank 1)" is a name).
Column name_and_unit(std::string_view text);

/// The text of a cell in a unit row, without brackets; empty for a number, which is no unit but for "1".
std::string unit_cell(std::string_view cell);

}  // namespace revwright::csv
