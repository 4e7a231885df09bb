#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "propose/bounds/bounds.h"

namespace revwright {
namespace {

/// Silence of knock is no licence: until best-torque spark is predicted, spark stays this close to standard.
constexpr double kWithoutBestTorqueDeg = 2.0;

Cap spark_step(const Situation& s, const TableSituation& t, const CellSituation& c) {
    const bool first = c.standard && std::abs(c.now - *c.standard) < 0.5 * t.count;
    const double step = first ? s.policy().first_spark_step_deg : s.policy().spark_step_deg;
    return {step, Bound::step,
            first ? fmt::format("the first step from the standard image is {}", t.amount(step))
                  : fmt::format("a step is {}", t.amount(step))};
}

}  // namespace

/// How far a cell may stand from the standard image.
std::optional<Cap> total_cap(const Situation& s, const TableSituation& t, const CellSituation& c) {
    if (!c.standard) return Cap{0.0, Bound::step, "the standard image has no such cell to count steps from"};
    if (t.role() == Role::lambda_target) return std::nullopt;
    const bool spark = t.role() == Role::spark;
    const double total =
        spark ? std::min(s.policy().spark_total_deg, kWithoutBestTorqueDeg) : s.policy().boost_total_kpa;
    return Cap{
        std::max(0.0, *c.standard + total - c.now), Bound::step,
        spark ? fmt::format("spark stays within {} of standard until best-torque spark is predicted", t.amount(total))
              : fmt::format("boost stays within {} of standard", t.amount(total))};
}

std::optional<Cap> step_cap(const Situation& s, const TableSituation& t, const CellSituation& c) {
    if (t.role() == Role::spark) return spark_step(s, t, c);
    const double step = t.role() == Role::boost_target ? s.policy().boost_step_kpa : s.policy().lambda_step;
    return Cap{step, Bound::step, fmt::format("a step is {}", t.amount(step))};
}

}  // namespace revwright
