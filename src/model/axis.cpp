#include "model/axis.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>

namespace revwright {

Result<Axis> Axis::make(std::string table, ChannelKey quantity, std::vector<double> points) {
    const std::string who = fmt::format("axis {} of table {}", to_string(quantity), table);
    if (points.empty()) return refuse(fmt::format("{} has no breakpoints, one or more expected", who));
    for (const double point : points)
        if (!std::isfinite(point)) return refuse(fmt::format("{} has a breakpoint that is no number", who));
    const auto bad = std::ranges::adjacent_find(points, std::not_fn(std::less{}));
    if (bad != points.end())
        return refuse(fmt::format("{} must rise from point to point, found {} then {}", who, bad[0], bad[1]));
    return Axis(quantity, std::move(points));
}

}  // namespace revwright
