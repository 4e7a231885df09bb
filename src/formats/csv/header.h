#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "core/unit.h"
#include "formats/csv/dialect.h"
#include "formats/csv/odd_cell.h"

namespace revwright::csv {

struct Column {
    std::string name;       // without its unit
    std::string unit;       // as the file writes it, empty where it gives none
    CellStyle style = {};   // of its cells
    bool left_out = false;  // a second clock beside the one that is used
};

/// Columns that were sampled by one clock: those from `begin` to before `end`, without the clock's own.
struct Group {
    std::size_t time = 0, begin = 0, end = 0;
    UnitConversion seconds = {};  // from the clock's unit
    bool coarse = false;          // the clock stands still for several rows, then steps
    bool counts_rows = false;     // no clock at all: it numbers the rows
};

struct Header {
    std::vector<Column> columns;
    std::vector<Group> groups = {};      // one or more, side by side over all columns
    std::vector<std::string> lost = {};  // what was settled about names and clocks, one sentence each
    std::string clock_doubt = {};        // a sentence where the clock's unit is in doubt
};

/// Names, units (of the header's brackets, else of the unit row), the clocks, and how cells are written. A name that
/// stands twice gets " (2)" behind it. Refuses a header without a clock, with a time in a unit that is none of time, or
/// with too many columns.
Result<Header> read_header(const Dialect& dialect, const std::string& file, const Workers& workers);

/// "Drehzahl [1/min]" -> {"Drehzahl", "1/min"}. Square brackets at the end hold a unit unless they hold an index
/// ("cell[2]"), round ones only where the unit is known ("Lambda (bank 1)" is a name) or where they are empty.
Column name_and_unit(std::string_view text);

/// The text of a cell in a unit row, without brackets; empty for a number, which is no unit but for "1".
std::string unit_cell(std::string_view cell);

}  // namespace revwright::csv
