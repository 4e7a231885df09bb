#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/digest.h"
#include "model/axis.h"
#include "model/description.h"

namespace revwright {

/// Index of a cell: one number per axis, in the order of the axes; empty for a value.
using CellIndex = std::vector<std::size_t>;

/// A table as read from an image. values and raw are row-major in the order of the axes.
struct Table {
    TableDescription description;
    std::vector<Axis> axes = {};
    std::vector<double> values = {};  // physical
    std::vector<double> raw = {};     // counts as they lie in memory (exact: 32-bit integers and float32 fit a double)

    const std::string& name() const { return description.name; }
    std::size_t flat(std::span<const std::size_t> at) const;
    CellIndex at(std::size_t flat) const;
};

/// One cell's share of a reading between breakpoints.
struct CellWeight {
    std::size_t flat = 0;
    double weight = 0.0;  // 0..1; the weights of one reading add up to 1
};

/// The cells a control unit reads at x (one value per axis), bilinear, clamped at the ends. Cells of weight 0 are left
/// out.
std::vector<CellWeight> weights_at(const Table& table, std::span<const double> x);
/// The value a control unit reads at x.
double value_at(const Table& table, std::span<const double> x);

/// All tables of one image.
struct TableSet {
    Digest image = {};
    std::vector<Table> tables = {};
    const Table* find(std::string_view name) const;
};

}  // namespace revwright
