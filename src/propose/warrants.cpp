#include "propose/warrants.h"

#include <cmath>
#include <fmt/format.h>

#include "propose/gain.h"

namespace revwright {
namespace {

struct Reason {
    Bound bound;
    std::string text;
};

/// What held a cell that could have risen by at least one count more.
Reason held_inside(const TableSituation& t, const CellSituation& cell, const TableLimits& limits, double change) {
    for (const Follower& f : limits.followers)
        if (f.cell == cell.flat)
            return {Bound::evidence, "no run visited this cell, so it rises no further than its visited neighbours"};
    if (torque_gain(t, cell).slope <= 0.0 && change <= 0.0)
        return {Bound::best_torque,
                t.role() == Role::lambda_target
                    ? fmt::format("a mixture leaner than {:g} makes no more torque", kBestTorqueLambda)
                    : std::string("more spark is predicted to make no more torque")};
    return {Bound::smoothness, "more would leave the change rough or a cliff beside its neighbours"};
}

Reason reason_for(const TableSituation& t, const CellSituation& cell, const TableLimits& limits, double change) {
    const Cap& cap = limits.caps[cell.flat];
    const bool at_cap = cap.most - change < t.count * (1.0 - 1e-6);
    if (change < 0.0 && cap.most >= 0.0)
        return {Bound::smoothness, "a neighbour had to be lowered, and no cliff may stand beside it"};
    if (cap.most < 0.0) return {cap.bound, cap.text};
    if (!at_cap) return held_inside(t, cell, limits, change);
    if (change <= 0.0 && cap.most > 1e-9)
        return {Bound::table, fmt::format("one count of the table is {}, and only {} are allowed: {}",
                                          t.amount(t.count), t.amount(cap.most), cap.text)};
    return {cap.bound, cap.text};
}

std::string sentence(const TableSituation& t, double change, const std::string& why) {
    if (change > 0.0) return fmt::format("Raised by {}: {}.", t.amount(change), why);
    if (change < 0.0) return fmt::format("Lowered by {}: {}.", t.amount(-change), why);
    return fmt::format("Held: {}.", why);
}

}  // namespace

ProposedTable warranted(const TableSituation& t, const TableLimits& limits, const std::vector<double>& values) {
    ProposedTable out{t.role(), t.table().name(), t.unit, t.table().axes, {}};
    for (const CellSituation& cell : t.cells) {
        const double change = values[cell.flat] - cell.now;
        if (!cell.appears() && change == 0.0) continue;
        const Reason reason = reason_for(t, cell, limits, change);
        ProposedCell row{t.table().at(cell.flat), cell.now, values[cell.flat], reason.bound, {}, {}};
        if (cell.seen) row.evidence = {cell.seen->pulls, cell.seen->events, cell.seen->knock_rate_upper};
        row.text = sentence(t, change, reason.text);
        out.cells.push_back(std::move(row));
    }
    return out;
}

}  // namespace revwright
