#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"

namespace revwright::compressor_csv {

enum class Quantity { speed, flow, ratio, efficiency };
inline constexpr std::size_t kQuantities = 4;

/// Where a quantity stands in a row, and what its figures are multiplied by to be in rpm, kg/s or a plain number.
struct Column {
    std::size_t at = 0;
    double factor = 1.0;
};
using Columns = std::array<Column, kQuantities>;

/// One line of the file cut at its delimiter; `start` counts characters from 1.
struct Cell {
    std::string_view text;
    std::size_t start = 1;
};
std::vector<Cell> cut(std::string_view line, char delimiter);

/// The delimiter a header is written with: the commonest of comma, semicolon and tab.
char delimiter_of(std::string_view header);

/// Which column is which, by name and unit: `rpm`, `Flow [kg/s]`, `efficiency_pct`. Columns of other names are passed
/// over. Errors: a quantity is missing or there twice.
Result<Columns> find_columns(const std::vector<Cell>& header, const Place& at);

}  // namespace revwright::compressor_csv
