#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/digest.h"
#include "model/channel.h"
#include "model/table.h"

namespace revwright {

/// Bytes of an image: `length` of them from `address` on.
struct ByteRange {
    std::uint64_t address = 0;
    std::uint64_t length = 0;
    friend bool operator==(const ByteRange&, const ByteRange&) = default;
};

/// A declared checksum, held against the bytes it covers.
struct ChecksumState {
    std::uint64_t store = 0;     // address where it is stored
    std::uint32_t expected = 0;  // computed over the region
    std::uint32_t found = 0;     // stored in the image
    bool ok() const { return expected == found; }
};

/// A cell, or an axis point, that differs between two images. Physical units.
struct CellDifference {
    CellIndex at;
    double from = 0.0;
    double to = 0.0;
};

struct TableDifference {
    std::string table;
    std::optional<std::size_t> axis = {};  // set: the cells are points of this axis, counted from 0
    ChannelKey quantity = {};
    std::vector<CellDifference> cells = {};

    /// "SPARK_MAIN", or "SPARK_MAIN axis 0".
    std::string name() const { return axis ? table + " axis " + std::to_string(*axis) : table; }
};

/// What separates image b from image a. Only tables that differ are listed, in the order of the description.
struct Comparison {
    Digest a = {}, b = {};
    std::vector<TableDifference> tables = {};
    std::vector<ChecksumState> checksums_a = {}, checksums_b = {};  // in the order they were declared
    std::vector<ByteRange> outside = {};  // bytes that differ outside every table, axis and checksum store
};

}  // namespace revwright
