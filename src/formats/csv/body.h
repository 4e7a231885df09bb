#pragma once

#include <string>
#include <vector>

#include "core/error.h"
#include "formats/csv/clock.h"
#include "formats/csv/header.h"
#include "formats/csv/rows.h"
#include "formats/csv/store.h"

namespace revwright::csv {

/// Everything below the header, column by column.
struct Body {
    Clock clock;
    std::vector<SampleStore> stores;  // one per column; that of the time column stays empty
    std::vector<TextCells> text;      // one per column
    std::vector<std::string> lost;    // rows that were not read, or not whole
};

/// One pass over the rows. Holds eight bytes for each sample, a bit for each blank, and no text.
Result<Body> read_body(const Dialect& dialect, const Header& header, const std::string& file);

}  // namespace revwright::csv
