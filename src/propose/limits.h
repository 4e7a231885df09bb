#pragma once

#include <cstddef>
#include <vector>

#include "propose/bounds/bounds.h"

namespace revwright {

/// Two cells side by side, and how far the change of one may stand above that of the other.
struct Neighbours {
    std::size_t a = 0, b = 0;
    double a_above_b = 0.0, b_above_a = 0.0;
};

/// A cell no run visited, which may rise no further than a visited one beside it.
struct Follower {
    std::size_t cell = 0, leader = 0;
};

/// What holds the changes of one table.
struct TableLimits {
    std::vector<Cap> caps;      // per cell: the tightest bound toward risk
    std::vector<double> lower;  // per cell: as far down as demands and cliffs need it, 0 elsewhere
    std::vector<Neighbours> neighbours;
    std::vector<Follower> followers;
};

/// Bounds, demands, the rule for cells no run visited, the cliffs, and one raise per engine speed, for every table.
/// A change that satisfies all of them always exists.
std::vector<TableLimits> limits_of(const Situation& situation, const Demands& demands);

}  // namespace revwright
