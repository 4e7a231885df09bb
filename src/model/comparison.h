#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
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
    std::string from_text = {}, to_text = {};  // instead of numbers, where the cell holds a word or a text
    bool is_text() const { return !from_text.empty() || !to_text.empty(); }
};

struct TableDifference {
    std::string table;
    std::optional<std::size_t> axis = {};  // set: the cells are points of this axis, counted from 0
    ChannelKey quantity = {};
    std::vector<CellDifference> cells = {};
    std::string unit = {};  // where `quantity` is not known: as the description writes it, empty = none
    bool quantity_known = true;

    /// Of from and to.
    std::string_view unit_text() const { return quantity_known ? info(quantity.signal).unit : std::string_view(unit); }

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
