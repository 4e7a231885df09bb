#include "propose/bounds/bounds.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright {
namespace {

constexpr BoundRule kRules[] = {stop_cap,  goal_cap,        low_speed_cap, chain_cap, envelope_cap, evidence_cap,
                                knock_cap, temperature_cap, total_cap,     step_cap,  table_cap};
/// Bounds this close are equal, and the first one names the reason.
constexpr double kEqual = 1e-9;

}  // namespace

std::optional<Cap> stop_cap(const Situation& s, const TableSituation&, const CellSituation&) {
    if (!s.stop) return std::nullopt;
    return Cap{0.0, Bound::finding,
               fmt::format("the parent's run has a stop finding ({} at {:.0f} rpm), so nothing rises", s.stop->check,
                           s.stop->engine_speed_rpm)};
}

std::optional<Cap> goal_cap(const Situation& s, const TableSituation&, const CellSituation&) {
    const auto& goal = s.input.job.goal.torque_nm;
    if (!goal || !s.dyno_torque_nm || *s.dyno_torque_nm < *goal) return std::nullopt;
    return Cap{0.0, Bound::goal,
               fmt::format("the dynamometer showed {:.0f} Nm, and the goal is {:.0f} Nm", *s.dyno_torque_nm, *goal)};
}

std::optional<Cap> low_speed_cap(const Situation& s, const TableSituation& t, const CellSituation& c) {
    const Engine& engine = s.input.job.engine;
    const bool at_risk = engine.turbocharged() && engine.injection == Injection::direct;
    if (t.role() != Role::boost_target || !at_risk) return std::nullopt;
    if (c.speed_rpm && *c.speed_rpm >= s.policy().low_speed_rpm) return std::nullopt;
    return Cap{0.0, Bound::low_speed,
               fmt::format("no more charge below {:.0f} rpm on a boosted direct-injection engine (low-speed "
                           "pre-ignition)",
                           s.policy().low_speed_rpm)};
}

std::optional<Cap> chain_cap(const Situation&, const TableSituation& t, const CellSituation&) {
    if (t.role() != Role::boost_target) return std::nullopt;
    return Cap{0.0, Bound::chain, "boost rises only on a demand chain that was checked, and this one was not"};
}

std::optional<Cap> table_cap(const Situation&, const TableSituation& t, const CellSituation& c) {
    const auto& most = t.table().description.max;
    if (!most) return std::nullopt;
    return Cap{std::max(0.0, *most - c.now), Bound::table, fmt::format("the table ends at {}", t.amount(*most))};
}

double lowest_change(const TableSituation& t, const CellSituation& c) {
    const auto& least = t.table().description.min;
    return least ? std::min(0.0, *least - c.now) : -kUnboundedChange;
}

Cap tightest(const Situation& s, const TableSituation& t, const CellSituation& c, const Demand* demand) {
    std::optional<Cap> best;
    const auto take = [&](std::optional<Cap> cap) {
        if (cap && (!best || cap->most < best->most - kEqual)) best = std::move(cap);
    };
    if (demand) take(Cap{-demand->lower_by, Bound::finding, demand->text});
    for (const BoundRule rule : kRules) take(rule(s, t, c));
    return *best;  // step_cap always answers
}

}  // namespace revwright
