#include <algorithm>
#include <fmt/format.h>

#include "propose/bounds/bounds.h"

namespace revwright {
namespace {

constexpr double kBlockingEvents = 2.0;  // in one cylinder, by the policy

std::optional<std::string> what_is_missing(const Situation& s, const TableSituation& t, const CellEvidence& e) {
    const Policy& policy = s.policy();
    if (e.knock_censored) return "the knock retard stood at its ceiling here, so events could not be counted";
    if (e.worst_cylinder_knock_events >= kBlockingEvents)
        return e.worst_cylinder > 0 ? fmt::format("cylinder {} knocked {:.0f} times here", e.worst_cylinder,
                                                  e.worst_cylinder_knock_events)
                                    : fmt::format("{:.0f} knock events here in a cylinder that is not known",
                                                  e.worst_cylinder_knock_events);
    if (e.pulls < policy.pulls_needed) return fmt::format("{:.0f} of {:g} pulls needed", e.pulls, policy.pulls_needed);
    if (e.events < policy.events_needed)
        return fmt::format("{:.0f} of {:g} combustion events needed", e.events, policy.events_needed);
    if (e.knock_rate_upper > policy.knock_rate_max)
        return fmt::format("knock rate could be {:.1f} % (95 % bound), {:g} % allowed", 100.0 * e.knock_rate_upper,
                           100.0 * policy.knock_rate_max);
    if (t.role() == Role::lambda_target && !e.lambda_ratio) return "lambda was not logged here against its target";
    return std::nullopt;
}

}  // namespace

/// No advance where too little was seen. Cells no run visited are held by their neighbours: see neighbours.h.
std::optional<Cap> evidence_cap(const Situation& s, const TableSituation& t, const CellSituation& c) {
    if (t.ref.conditional)
        return Cap{0.0, Bound::evidence, "the table is read only under a condition, and no log says when"};
    if (!c.seen) return std::nullopt;
    if (!c.visited && c.seen->knock_events <= 0.0 && !c.seen->knock_censored) return std::nullopt;
    const auto missing = what_is_missing(s, t, *c.seen);
    return missing ? std::optional(Cap{0.0, Bound::evidence, *missing}) : std::nullopt;
}

/// Where an earlier revision knocked twice, spark stays the margin below.
std::optional<Cap> knock_cap(const Situation& s, const TableSituation& t, const CellSituation& c) {
    if (t.role() != Role::spark || !c.seen || !c.seen->knocked_at) return std::nullopt;
    const double most = *c.seen->knocked_at - s.policy().knock_margin_deg - c.now;
    return Cap{std::max(0.0, most), Bound::knock,
               fmt::format("an earlier revision knocked twice at {}, and {:g} deg stay below that",
                           t.amount(*c.seen->knocked_at), s.policy().knock_margin_deg)};
}

}  // namespace revwright
