#pragma once

#include <optional>
#include <vector>

#include "model/job.h"
#include "model/log.h"
#include "model/table.h"
#include "review/derived.h"

namespace revwright {

/// How the axes of one table are read from one log: the samples of each axis' channel. For a table without axes there
/// are none, and every time reads its one cell.
class TableReader {
public:
    /// Nothing where an axis' channel is neither logged nor derived.
    static std::optional<TableReader> make(const Log& log, const Engine& engine, const Table& table);

    /// The cells the control unit reads at time t, with their weights; empty where a channel has no sample within one
    /// second of t.
    std::vector<CellWeight> cells_at(double t) const;
    /// The values on the axes at time t; nothing where one is not known.
    std::optional<std::vector<double>> point_at(double t) const;
    const Table& table() const { return *table_; }

private:
    explicit TableReader(const Table& table) : table_(&table) {}
    const Table* table_;
    std::vector<Samples> axes_;
};

}  // namespace revwright
