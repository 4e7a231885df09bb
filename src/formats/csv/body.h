#pragma once

#include <map>
#include <string>
#include <vector>

#include "core/error.h"
#include "core/workers.h"
#include "formats/csv/clock.h"
#include "formats/csv/header.h"
#include "formats/csv/rows.h"
#include "formats/csv/store.h"

namespace revwright::csv {

/// Everything below the header, column by column.
struct Body {
    /// First and last time of the rows that are meant.
    struct Span {
        double start_s = 0.0, end_s = 0.0;
    };
    std::vector<Clock> clocks;             // one per group
    std::vector<SampleStore> stores;       // one per column; those of the time columns stay empty
    std::vector<OddCells> odd;             // one per column
    std::vector<std::size_t> styled;       // one per column: samples read in the column's own style
    std::map<std::size_t, Span> infinite;  // by column: where numbers were not finite
    std::vector<std::string> lost;         // rows that were not read, or not whole
};

/// How the rows are read. Either way gives the same.
struct RowReading {
    bool one_by_one = false;               // each by RowReader: the simple way, which says what is right
    std::size_t chunk_bytes = 128 * 1024;  // else in pieces of this size
    Workers workers = {};
};

/// One pass over the rows. Holds eight bytes for each sample, a bit for each blank, and no text but of a few pieces.
/// line_feeds: of dialect.rows.
Result<Body> read_body(const Dialect& dialect, const Header& header, const std::string& file, std::size_t line_feeds,
                       const RowReading& reading);

}  // namespace revwright::csv
