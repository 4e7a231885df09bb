#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "core/workers.h"
#include "formats/csv/cells.h"

namespace revwright::csv {

/// How one file writes its table, settled by looking at its first lines.
struct Dialect {
    char delimiter = ',';
    char decimal = '.';       // of quoted cells
    char bare_decimal = '.';  // of others: a comma cannot be both delimiter and decimal mark
    Line header = {};
    std::optional<Line> units = {};  // a row of units under the header
    std::string_view rows = {};      // from the first row of numbers to the end of the file
    std::size_t first_row = 0;       // its line number
    std::vector<Line> sample = {};   // the first of the rows
};

/// Longest line that is read, in bytes; a longer one is taken for something else than a log.
inline constexpr std::size_t kLongestLine = std::size_t{1} << 22;

/// Most columns that are read; a wider header is taken for something else.
inline constexpr std::size_t kMostColumns = 10'000;

/// The delimiter is the one that makes most cells of the first lines numbers; the decimal comma counts only where the
/// delimiter is another. The header is the line above the first row of numbers, or the one above that where the line
/// between holds units; what stands before is preamble and is passed over.
/// `text` is the file without its byte order mark; the views point into it.
Result<Dialect> detect(std::string_view text, const std::string& file, const Workers& workers);

}  // namespace revwright::csv
