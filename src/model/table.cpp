#include "model/table.h"

#include <algorithm>
#include <cassert>

#include "numeric/bracket.h"

namespace revwright {

std::size_t Table::flat(std::span<const std::size_t> at) const {
    assert(at.size() == axes.size());
    std::size_t index = 0;
    for (std::size_t d = 0; d < axes.size(); ++d) {
        assert(at[d] < axes[d].size());
        index = index * axes[d].size() + at[d];
    }
    return index;
}

CellIndex Table::at(std::size_t flat) const {
    CellIndex index(axes.size());
    for (std::size_t d = axes.size(); d-- > 0;) {
        index[d] = flat % axes[d].size();
        flat /= axes[d].size();
    }
    return index;
}

std::vector<CellWeight> weights_at(const Table& table, std::span<const double> x) {
    assert(x.size() == table.axes.size());
    std::vector<CellWeight> cells{{0, 1.0}};
    for (std::size_t d = 0; d < table.axes.size(); ++d) {
        const Axis& axis = table.axes[d];
        const Bracket b = bracket(axis.points(), x[d]);
        std::vector<CellWeight> next;
        for (const CellWeight& cell : cells) {
            if (b.part < 1.0) next.push_back({cell.flat * axis.size() + b.index, cell.weight * (1.0 - b.part)});
            if (b.part > 0.0) next.push_back({cell.flat * axis.size() + b.index + 1, cell.weight * b.part});
        }
        cells = std::move(next);
    }
    return cells;
}

double value_at(const Table& table, std::span<const double> x) {
    double value = 0.0;
    for (const CellWeight& cell : weights_at(table, x)) value += cell.weight * table.values[cell.flat];
    return value;
}

const Table* TableSet::find(std::string_view name) const {
    const auto found = std::ranges::find(tables, name, &Table::name);
    return found == tables.end() ? nullptr : &*found;
}

}  // namespace revwright
