#pragma once

#include <map>
#include <optional>
#include <string>

#include "formats/sheets/field.h"
#include "model/description.h"

// The parts of a table sheet. Every reader reports to `trouble` and then gives whatever it has.
namespace revwright::sheets {

inline constexpr std::int64_t kTopAddress = 0xFFFFFFFF;
/// Most points of one axis; no control unit comes near.
inline constexpr std::int64_t kMostPoints = 1024;

/// Shared axes by name.
using SharedAxes = std::map<std::string, AxisDescription, std::less<>>;

/// The keys byte_order.
std::optional<ByteOrder> read_byte_order(Fields& fields);
/// The keys address, type, factor, offset and byte_order. `fallback` is the sheet's own byte order.
std::uint64_t read_address(Fields& fields);
Coding read_coding(Fields& fields, std::optional<ByteOrder> fallback);

/// The top-level [[axis]] entries.
SharedAxes read_shared_axes(std::span<const Node> nodes, std::optional<ByteOrder> fallback, Trouble& trouble);
/// One [[table.axis]] that must have `size` points.
AxisDescription read_table_axis(const Node& node, std::size_t size, const SharedAxes& shared,
                                std::optional<ByteOrder> fallback, Trouble& trouble);

/// Reports cells of a table that lie on another table's cells or on axis points.
void check_overlaps(const Description& description, const SharedAxes& shared, Trouble& trouble);

}  // namespace revwright::sheets
