#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/comparison.h"
#include "model/image.h"
#include "model/parameter.h"

namespace revwright {

inline constexpr std::size_t kMostAxes = 5;

/// Numbers of one type at even distances: `stride` holds the bytes from one index to the next, per dimension. Cells are
/// counted row-major in the order of `shape`, X first.
struct PlacedNumbers {
    StoredType type = StoredType::u8;
    ByteOrder order = ByteOrder::big;
    std::uint64_t address = 0;  // of the cell whose indices are all 0
    std::vector<std::size_t> shape = {};
    std::vector<std::uint64_t> stride = {};

    std::size_t cells() const;
    std::uint64_t address_of(std::size_t flat) const;
};

/// What the record holds of one axis.
struct PlacedAxis {
    std::size_t points = 0;                                   // how many are used
    std::optional<PlacedNumbers> stored = {};                 // axis points, in the order of memory
    std::optional<PlacedNumbers> pairs = {};                  // of a rescaled axis: [pairs, 2]
    bool descending = false;                                  // the last point lies first
    std::optional<double> first = {}, shift = {}, step = {};  // of a fixed axis whose numbers lie in memory
};

/// Where the numbers of one parameter lie.
struct PlacedRecord {
    std::optional<PlacedNumbers> values = {};
    std::vector<PlacedAxis> axes = {};  // as many as the parameter has
    std::vector<ByteRange> bytes = {};  // all that means something, rising; gaps of alignment left out
    std::string why_not = {};           // one sentence where the places are read by a convention too weak to write on
};

/// Lays the items of a record out over the image: in the order of their positions, each at the next address its
/// alignment divides, arrays as long as the counts that lie in memory say (or as long as the most points where the
/// layout keeps its places). `counts` gives the points of axes that do not lie in the record; 0 = in the record.
///
/// ROW_DIR: X runs fastest; COLUMN_DIR: Y runs fastest, then X, then Z. docs/formats/a2l.md says by which evidence.
/// Errors, each one sentence that goes on after the parameter's name: an item outside the image, a count of 0 or above
/// the most points, a count that lies behind what it counts, addresses instead of numbers, layouts not understood.
Result<PlacedRecord> place_record(const ParameterDescription& parameter, const RecordLayout& layout,
                                  std::span<const std::size_t> counts, const Image& image);

/// The count of one cell. Precondition: the numbers lie inside the image, flat < cells().
double count_at(const PlacedNumbers& numbers, std::size_t flat, const Image& image);

/// The same as the bits of a whole number, for bit masks. Precondition: not a float.
std::uint64_t bits_at(const PlacedNumbers& numbers, std::size_t flat, const Image& image);

}  // namespace revwright
