#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/error.h"
#include "formats/csv/cells.h"

namespace revwright::csv {

/// How one file writes its table, settled by looking at its first lines.
struct Dialect {
    char delimiter = ',';
    char decimal = '.';
    Line header = {};
    std::optional<Line> units = {};  // a row of units under the header
    std::string_view rows = {};      // from the first row of numbers to the end of the file
    std::size_t first_row = 0;       // its line number
};

/// The delimiter is the one that makes most cells of the first lines numbers; the decimal comma counts only where the
/// delimiter is another. The header is the line above the first row of numbers, or the one above that where the line
/// between holds units; what stands before is preamble and is passed over.
/// `text` is the file without its byte order mark; the views point into it.
Result<Dialect> detect(std::string_view text, const std::string& file);

/// Whether a header cell names a time: "time_s", "Time [ms]", "Zeit" ...
bool names_time(std::string_view cell);

}  // namespace revwright::csv
