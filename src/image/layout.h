#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/comparison.h"
#include "model/description.h"
#include "model/image.h"
#include "model/table.h"

namespace revwright {

/// "0x4A20 to 0x4ADF", both inclusive.
std::string addresses(ByteRange range);
/// "0x4A20", four digits or more.
std::string address_text(std::uint64_t address);

bool overlap(ByteRange a, ByteRange b);
/// "0x4000 to 0x7FFF", the addresses of each run without a hole.
std::string held_by(const Image& image);
bool holds(const Image& image, ByteRange range);

/// Offset of the range in image.bytes; an Error that names `what`, its addresses and those of the image where it does
/// not lie inside.
Result<std::size_t> offset_of(const Image& image, ByteRange range, const std::string& what, const Place& place);

/// Index of a cell along each dimension, from its row-major number.
CellIndex index_of(const std::vector<std::size_t>& shape, std::size_t flat);

/// "cell [3, 4] of table SPARK_MAIN".
std::string cell_name(const std::string& table, const CellIndex& at);

/// Where a cell lies in memory, for its row-major index. Precondition: flat below cells().
ByteRange cell_range(const TableDescription& table, std::size_t flat);

/// Where a point of an axis lies in memory.
ByteRange point_range(const AxisInMemory& axis, std::size_t point);

}  // namespace revwright
