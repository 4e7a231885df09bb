#include "propose/limits.h"

#include <algorithm>
#include <map>
#include <set>

namespace revwright {
namespace {

/// Between neighbouring cells' changes, beyond what the table already has. Our choice.
double cliff(Role role) {
    if (role == Role::spark) return 1.5;              // deg
    return role == Role::lambda_target ? 0.02 : 5.0;  // 1, kPa
}

std::size_t stride(const Table& table, std::size_t axis) {
    std::size_t step = 1;
    for (std::size_t d = axis + 1; d < table.axes.size(); ++d) step *= table.axes[d].size();
    return step;
}

/// The nearest visited cell from `flat` along an axis, up or down; nothing where there is none.
std::optional<std::size_t> visited_beside(const TableSituation& t, std::size_t flat, std::size_t axis, bool up) {
    const std::size_t step = stride(t.table(), axis), size = t.table().axes[axis].size();
    std::size_t place = t.table().at(flat)[axis];
    while (up ? place + 1 < size : place > 0) {
        place += up ? 1 : std::size_t(-1);
        flat += up ? step : std::size_t(0) - step;
        if (t.cells[flat].visited) return flat;
    }
    return std::nullopt;
}

/// The visited cells between which an unvisited one lies, over all axes.
std::vector<std::size_t> leaders_of(const TableSituation& t, std::size_t flat) {
    std::vector<std::size_t> leaders;
    for (std::size_t axis = 0; axis < t.table().axes.size(); ++axis) {
        const auto below = visited_beside(t, flat, axis, false);
        const auto above = visited_beside(t, flat, axis, true);
        if (below && above) leaders.insert(leaders.end(), {*below, *above});
    }
    return leaders;
}

void limit_unvisited(const TableSituation& t, const std::vector<double>& envelope, TableLimits& limits) {
    for (const CellSituation& cell : t.cells) {
        Cap& cap = limits.caps[cell.flat];
        if (cell.visited || cap.most <= 0.0) continue;
        const std::vector<std::size_t> leaders = leaders_of(t, cell.flat);
        if (leaders.empty()) {
            cap = {0.0, Bound::evidence, "no run visited this cell, and it does not lie between cells that rise"};
            continue;
        }
        for (const std::size_t leader : leaders) {
            const double most = envelope[leader] < 0.0 ? 0.0 : std::max(0.0, limits.caps[leader].most);
            if (most <= cap.most)
                cap = {most, Bound::evidence,
                       "no run visited this cell, so it rises no further than its visited neighbours"};
        }
        if (cap.most > 0.0)
            for (const std::size_t leader : leaders) limits.followers.push_back({cell.flat, leader});
    }
}

/// Lambda out of reach of full load is not drawn along: part load keeps its mixture.
bool is_drawn_along(const TableSituation& t, const CellSituation& cell) {
    return t.role() != Role::lambda_target || cell.appears();
}

std::vector<Neighbours> side_by_side(const TableSituation& t) {
    std::vector<Neighbours> pairs;
    for (std::size_t axis = 0; axis < t.table().axes.size(); ++axis)
        for (std::size_t flat = 0; flat < t.cells.size(); ++flat)
            if (t.table().at(flat)[axis] + 1 < t.table().axes[axis].size())
                pairs.push_back({flat, flat + stride(t.table(), axis), cliff(t.role()), cliff(t.role())});
    return pairs;
}

/// The highest changes that leave no cliff beside a cell that must fall: each is its cap, or lower where a neighbour
/// draws it down.
std::vector<double> envelope_of(const TableSituation& t, const std::vector<Cap>& caps,
                                const std::vector<Neighbours>& pairs) {
    std::vector<double> envelope;
    for (const Cap& cap : caps) envelope.push_back(cap.most);
    const auto draw = [&](std::size_t cell, double by) {
        if (envelope[cell] <= by || !is_drawn_along(t, t.cells[cell])) return false;
        envelope[cell] = by;
        return true;
    };
    for (bool changed = true; changed;) {
        changed = false;
        for (const Neighbours& p : pairs) {
            changed = draw(p.a, envelope[p.b] + cliff(t.role())) || changed;
            changed = draw(p.b, envelope[p.a] + cliff(t.role())) || changed;
        }
    }
    return envelope;
}

/// Where the table ends before a neighbour's fall is followed, the cliff is as small as it can be.
void widen(const std::vector<double>& lower, std::vector<Neighbours>& pairs) {
    for (Neighbours& p : pairs) {
        p.a_above_b = std::max(p.a_above_b, lower[p.a] - lower[p.b]);
        p.b_above_a = std::max(p.b_above_a, lower[p.b] - lower[p.a]);
    }
}

TableLimits table_limits(const Situation& s, const TableSituation& t, const std::map<std::size_t, Demand>& demands) {
    TableLimits limits;
    for (const CellSituation& cell : t.cells) {
        const auto demand = demands.find(cell.flat);
        limits.caps.push_back(tightest(s, t, cell, demand != demands.end() ? &demand->second : nullptr));
        Cap& cap = limits.caps.back();
        const double lowest = lowest_change(t, cell);
        if (cap.most < lowest) cap = {lowest, cap.bound, cap.text + ", and the table ends there"};
    }
    limits.neighbours = side_by_side(t);
    const std::vector<double> envelope = envelope_of(t, limits.caps, limits.neighbours);
    limit_unvisited(t, envelope, limits);
    for (const CellSituation& cell : t.cells)
        limits.lower.push_back(std::min(0.0, std::max(lowest_change(t, cell), envelope[cell.flat])));
    widen(limits.lower, limits.neighbours);
    return limits;
}

/// The open range of engine speed in which a cell is read.
std::pair<double, double> speeds_of(const TableSituation& t, const CellSituation& cell) {
    if (!t.speed_axis) return {0.0, kUnboundedChange};
    const auto points = t.table().axes[*t.speed_axis].points();
    const std::size_t at = t.table().at(cell.flat)[*t.speed_axis];
    return {at > 0 ? points[at - 1] : 0.0, at + 1 < points.size() ? points[at + 1] : kUnboundedChange};
}

/// One raise at one speed: spark goes first, since it cools the exhaust where a leaner mixture heats it.
void raise_one_at_a_speed(const Situation& s, std::vector<TableLimits>& all) {
    std::set<std::pair<double, double>> spark_rises;
    for (std::size_t i = 0; i < s.tables.size(); ++i)
        for (const CellSituation& cell : s.tables[i].cells)
            if (s.tables[i].role() == Role::spark && all[i].caps[cell.flat].most >= s.tables[i].count)
                spark_rises.insert(speeds_of(s.tables[i], cell));
    for (std::size_t i = 0; i < s.tables.size(); ++i) {
        if (s.tables[i].role() != Role::lambda_target) continue;
        for (const CellSituation& cell : s.tables[i].cells) {
            const auto [from, to] = speeds_of(s.tables[i], cell);
            const bool taken = std::ranges::any_of(
                spark_rises, [from = from, to = to](const auto& r) { return r.first < to && from < r.second; });
            Cap& cap = all[i].caps[cell.flat];
            if (taken && cap.most > 0.0)
                cap = {0.0, Bound::step, "at one speed a revision raises one thing, and here it is spark"};
        }
    }
}

}  // namespace

std::vector<TableLimits> limits_of(const Situation& situation, const Demands& demands) {
    std::vector<TableLimits> all;
    for (std::size_t i = 0; i < situation.tables.size(); ++i)
        all.push_back(table_limits(situation, situation.tables[i], demands.of_table[i]));
    raise_one_at_a_speed(situation, all);
    return all;
}

}  // namespace revwright
