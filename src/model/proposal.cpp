#include "model/proposal.h"

#include <algorithm>
#include <array>

namespace revwright {
namespace {

constexpr std::array<std::string_view, 16> kBounds{
    "step",        "evidence", "knock",   "best-torque", "cylinder-pressure", "low-speed",
    "temperature", "torque",   "fuel",    "compressor",  "envelope",          "smoothness",
    "table",       "chain",    "finding", "goal"};
static_assert(kBounds.size() == static_cast<std::size_t>(Bound::goal) + 1);

}  // namespace

std::string_view to_string(Bound bound) { return kBounds[static_cast<std::size_t>(bound)]; }

std::optional<Bound> bound_named(std::string_view name) {
    const auto* found = std::ranges::find(kBounds, name);
    if (found == kBounds.end()) return std::nullopt;
    return static_cast<Bound>(found - kBounds.begin());
}

}  // namespace revwright
