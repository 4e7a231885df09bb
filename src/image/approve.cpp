#include "image/approve.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <set>
#include <string>
#include <utility>

#include "image/layout.h"
#include "model/coding.h"

namespace revwright {
namespace {

Result<const Table*> writable_table(const Approval& approval, const TableSet& parent) {
    const Table* table = parent.find(approval.table);
    if (table == nullptr)
        return fail(Fault::not_found,
                    fmt::format("an approval names table {}, which the description does not hold", approval.table));
    if (!table->description.writable)
        return refuse(fmt::format("table {} is not to be written: {}", approval.table, table->description.why_not),
                      table->description.place);
    const auto& shape = table->description.shape;
    const bool fits = approval.at.size() == shape.size() && std::ranges::equal(approval.at, shape, std::less{});
    if (!fits)
        return refuse(fmt::format("an approval names {}, outside its shape [{}]",
                                  cell_name(approval.table, approval.at), fmt::join(shape, ", ")));
    return table;
}

struct Proposed {
    const ProposedTable* table = nullptr;
    const ProposedCell* cell = nullptr;
};

Result<Proposed> proposed_cell(const Approval& approval, const Proposal& proposal) {
    Proposed found;
    for (const ProposedTable& table : proposal.tables) {
        if (table.role != approval.role || table.table != approval.table) continue;
        for (const ProposedCell& cell : table.cells) {
            if (cell.at != approval.at) continue;
            if (found.cell != nullptr)
                return refuse(fmt::format("the proposal holds {} twice", cell_name(approval.table, approval.at)));
            found = {&table, &cell};
        }
    }
    if (found.cell == nullptr)
        return refuse(fmt::format("an approval names {} as {}, which the proposal does not hold",
                                  cell_name(approval.table, approval.at), to_string(approval.role)));
    return found;
}

/// A float next to a limit stands for it: 0.7 written as a table's least value is 0.69999999 in memory.
double limit_allowance(const Coding& coding, double limit) {
    const double raw = (limit - coding.offset) / coding.factor;
    return slack(coding, raw) + (coding.type == RawType::f32 ? 0.5 * resolution(coding, raw) : 0.0);
}

/// The count for `to`, or why there is none.
Result<double> raw_for(const Table& table, const ProposedCell& cell) {
    const TableDescription& d = table.description;
    const std::string who = cell_name(d.name, cell.at);
    if (d.min && cell.to < *d.min - limit_allowance(d.coding, *d.min))
        return refuse(
            fmt::format("{} is to become {:.10g}, below the table's least value {:.10g}", who, cell.to, *d.min),
            d.place);
    if (d.max && cell.to > *d.max + limit_allowance(d.coding, *d.max))
        return refuse(
            fmt::format("{} is to become {:.10g}, above the table's greatest value {:.10g}", who, cell.to, *d.max),
            d.place);
    if (const auto raw = exact_raw(d.coding, cell.to)) return *raw;

    TableDescription unlimited = d;
    unlimited.min = unlimited.max = std::nullopt;
    const auto nearest = raw_toward(unlimited, cell.to, Direction::nearest);
    return refuse(fmt::format("{} is to become {:.10g}, which it cannot hold: the nearest is {:.10g}", who, cell.to,
                              physical(d.coding, nearest.value_or(0.0))),
                  d.place);
}

Result<ChangedCell> changed_cell(const Approval& approval, const Proposal& proposal, const TableSet& parent) {
    const auto table = writable_table(approval, parent);
    if (!table) return tl::unexpected(table.error());
    const auto proposed = proposed_cell(approval, proposal);
    if (!proposed) return tl::unexpected(proposed.error());
    const ProposedCell& cell = *proposed->cell;
    const Table& now = **table;
    const std::string who = cell_name(approval.table, approval.at);
    if (!std::isfinite(cell.from) || !std::isfinite(cell.to))
        return refuse(fmt::format("the proposal moves {} from or to no finite number", who));

    const std::size_t flat = now.flat(approval.at);
    const Coding& coding = now.description.coding;
    const double raw_now = now.raw[flat], value_now = now.values[flat];
    if (std::abs(cell.from - value_now) > 0.5 * resolution(coding, raw_now) + slack(coding, raw_now))
        return fail(Fault::conflict, fmt::format("the proposal moves {} from {:.10g}, the parent holds {:.10g}", who,
                                                 cell.from, value_now));
    const bool stays = std::abs(cell.to - value_now) <= slack(coding, raw_now);
    const auto raw = stays ? Result<double>(raw_now) : raw_for(now, cell);
    if (!raw) return tl::unexpected(raw.error());
    return ChangedCell{.table = approval.table,
                       .role = approval.role,
                       .at = approval.at,
                       .unit = proposed->table->unit,
                       .from = value_now,
                       .to = physical(coding, *raw),
                       .raw_from = raw_now,
                       .raw_to = *raw,
                       .address = cell_range(now.description, flat).address,
                       .bound = cell.bound,
                       .evidence = cell.evidence,
                       .text = cell.text,
                       .by = approval.by,
                       .at_utc = approval.at_utc};
}

}  // namespace

Result<std::vector<ChangedCell>> approved_cells(const Proposal& proposal, const TableSet& parent) {
    std::vector<ChangedCell> cells;
    cells.reserve(proposal.approvals.size());
    std::set<std::pair<std::string, CellIndex>> seen;
    for (const Approval& approval : proposal.approvals) {
        if (!seen.insert({approval.table, approval.at}).second)
            return refuse(fmt::format("{} is approved twice", cell_name(approval.table, approval.at)));
        if (approval.by.empty())
            return refuse(
                fmt::format("the approval of {} names nobody who gave it", cell_name(approval.table, approval.at)));
        auto cell = changed_cell(approval, proposal, parent);
        if (!cell) return tl::unexpected(cell.error());
        cells.push_back(std::move(*cell));
    }
    return cells;
}

}  // namespace revwright
