#include "app/first_calibration.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

#include "model/coding.h"

namespace revwright::app {
namespace {

/// Visited cells, and those at the same speed with more charge: the new hardware may move more air than the standard
/// car.
std::set<std::size_t> reached(const Table& table, const TableEvidence& evidence) {
    std::set<std::size_t> cells;
    for (const CellEvidence& seen : evidence.cells) {
        CellIndex at = table.at(seen.flat);
        cells.insert(seen.flat);
        for (std::size_t d = 0; d < table.axes.size(); ++d) {
            if (table.axes[d].quantity().signal == Signal::engine_speed_rpm) continue;
            for (CellIndex more = at; ++more[d] < table.axes[d].size();) cells.insert(table.flat(more));
        }
    }
    return cells;
}

ProposedCell step_back(const Table& table, const TableEvidence& evidence, std::size_t flat, double wanted,
                       const std::string& text) {
    const double from = table.values[flat];
    const auto raw = raw_toward(table.description, std::min(from, wanted), Direction::down);
    const double to = raw ? std::min(from, physical(table.description.coding, *raw)) : from;
    ProposedCell cell{.at = table.at(flat), .from = from, .to = to, .bound = Bound::step, .text = text};
    if (const CellEvidence* seen = evidence.find(flat))
        cell.evidence = {seen->pulls, seen->events, seen->knock_rate_upper};
    return cell;
}

}  // namespace

Proposal first_calibration(const JobSheet& job, const TableSet& standard, std::span<const TableEvidence> evidence,
                           const Caution& caution) {
    Proposal proposal;
    proposal.parent = standard.image;
    for (const TableEvidence& seen : evidence) {
        const Table* table = standard.find(seen.table);
        if (!table || (seen.role != Role::spark && seen.role != Role::lambda_target)) continue;
        const bool spark = seen.role == Role::spark;
        ProposedTable changes{.role = seen.role,
                              .table = seen.table,
                              .unit = std::string(info(table->description.quantity.signal).unit),
                              .axes = table->axes,
                              .cells = {}};
        for (const std::size_t flat : reached(*table, seen)) {
            const double from = table->values[flat];
            const double wanted = spark ? from - caution.spark_deg
                                        : std::min(from, std::max(from - caution.lambda, caution.richest_lambda));
            changes.cells.push_back(
                step_back(*table, seen, flat, wanted,
                          fmt::format("by hand: {} until a run has shown what the new hardware does in this cell",
                                      spark ? "less spark" : "richer")));
        }
        if (!changes.cells.empty()) proposal.tables.push_back(std::move(changes));
    }
    if (job.hardware.empty()) proposal.tables.clear();  // nothing changed, nothing to step back from
    return proposal;
}

}  // namespace revwright::app
