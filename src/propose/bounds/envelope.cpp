#include <algorithm>
#include <fmt/format.h>

#include "propose/bounds/bounds.h"

namespace revwright {
namespace {

/// A cell that never makes a quarter of a reading with filled cylinders is part load, or passed while boost still
/// builds; it keeps its lambda.
constexpr double kFullLoadPart = 0.25;

}  // namespace

/// Lambda targets used at full load never stand above the floor, and do not rise where the mixture measured there would
/// pass it.
std::optional<Cap> envelope_cap(const Situation& s, const TableSituation& t, const CellSituation& c) {
    if (t.role() != Role::lambda_target) return std::nullopt;
    const double floor = s.lambda_floor();
    const std::string text =
        fmt::format("no leaner than {:g} at full load ({})", floor, s.input.job.limits.at("lambda_max").source);
    if (c.now > floor) return Cap{c.loaded >= kFullLoadPart ? floor - c.now : 0.0, Bound::envelope, text};
    const double leanest = std::max(c.now, c.seen && c.seen->lambda_max ? *c.seen->lambda_max : c.now);
    return Cap{std::max(0.0, floor - leanest), Bound::envelope,
               leanest > c.now ? fmt::format("lambda {:.3f} was measured here; {}", leanest, text) : text};
}

}  // namespace revwright
