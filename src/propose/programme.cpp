#include "propose/programme.h"

#include <algorithm>

#include "numeric/quadratic_programme.h"
#include "propose/gain.h"

namespace revwright {
namespace {

/// Of a second difference of one unit (1 degree, 0.01 lambda, 5 kPa), in per cent of torque. Our choice: a ridge one
/// cell wide still rises by a full step, and among equal gains the smoother change wins.
constexpr double kRoughness = 0.02;
/// Keeps the optimum unique where nothing else does.
constexpr double kLeastCurvature = 1e-6;

/// Changes are solved for in these units, so that one roughness serves all roles.
double unit_of(Role role) {
    if (role == Role::spark) return 1.0;
    return role == Role::lambda_target ? 0.01 : 5.0;
}

/// How much full load uses each cell, between a quarter and twice the mean over the visited ones.
std::vector<double> usage(const TableSituation& t) {
    double sum = 0.0, visited = 0.0;
    for (const CellSituation& cell : t.cells)
        if (cell.visited) sum += cell.seen->events, visited += 1.0;
    std::vector<double> out;
    for (const CellSituation& cell : t.cells)
        out.push_back(cell.visited ? std::clamp(cell.seen->events * visited / sum, 0.25, 2.0) : 0.25);
    return out;
}

/// Collects one table after the other into one programme; `first` is the index of the table's first cell.
struct Builder {
    QuadraticProgramme p;

    void add_row(std::size_t a, std::size_t b, double least, double most) {
        p.rows.push_back({p.row_lower.size(), a, 1.0});
        p.rows.push_back({p.row_lower.size(), b, -1.0});
        p.row_lower.push_back(least);
        p.row_upper.push_back(most);
    }

    void add_cells(const TableSituation& t, const TableLimits& limits) {
        const double unit = unit_of(t.role());
        const std::vector<double> weight = usage(t);
        for (const CellSituation& cell : t.cells) {
            const Gain gain = torque_gain(t, cell);
            const std::size_t i = p.gradient.size();
            p.gradient.push_back(-weight[cell.flat] * gain.slope * unit);
            p.hessian.push_back({i, i, weight[cell.flat] * gain.curvature * unit * unit + kLeastCurvature});
            p.lower.push_back(limits.lower[cell.flat] / unit);
            p.upper.push_back(std::max(limits.lower[cell.flat], limits.caps[cell.flat].most) / unit);
        }
    }

    void add_roughness(const TableSituation& t, std::size_t first) {
        const Table& table = t.table();
        std::size_t step = t.cells.size();
        for (std::size_t axis = 0; axis < table.axes.size(); ++axis) {
            step /= table.axes[axis].size();
            for (std::size_t flat = 0; flat < t.cells.size(); ++flat) {
                if (table.at(flat)[axis] + 2 >= table.axes[axis].size()) continue;
                const std::size_t at[] = {first + flat, first + flat + step, first + flat + 2 * step};
                constexpr double kSecond[] = {1.0, -2.0, 1.0};
                for (std::size_t i = 0; i < 3; ++i)
                    for (std::size_t j = 0; j < 3; ++j)
                        p.hessian.push_back({at[i], at[j], kRoughness * kSecond[i] * kSecond[j]});
            }
        }
    }

    void add_table(const TableSituation& t, const TableLimits& limits) {
        const std::size_t first = p.gradient.size();
        const double unit = unit_of(t.role());
        add_cells(t, limits);
        add_roughness(t, first);
        for (const Neighbours& n : limits.neighbours)
            add_row(first + n.a, first + n.b, -n.b_above_a / unit, n.a_above_b / unit);
        for (const Follower& f : limits.followers) add_row(first + f.cell, first + f.leader, -kUnbounded, 0.0);
    }
};

}  // namespace

Result<std::vector<Changes>> best_changes(const Situation& situation, const std::vector<TableLimits>& limits) {
    if (situation.tables.empty()) return std::vector<Changes>{};
    Builder builder;
    for (std::size_t i = 0; i < situation.tables.size(); ++i) builder.add_table(situation.tables[i], limits[i]);
    const auto solution = solve(builder.p);
    if (!solution) return tl::unexpected(solution.error());
    std::vector<Changes> all;
    std::size_t first = 0;
    for (const TableSituation& t : situation.tables) {
        Changes changes;
        for (std::size_t flat = 0; flat < t.cells.size(); ++flat)
            changes.push_back(solution->x[first + flat] * unit_of(t.role()));
        first += t.cells.size();
        all.push_back(std::move(changes));
    }
    return all;
}

}  // namespace revwright
