#include "model/review.h"

#include <array>

namespace revwright {

std::string_view to_string(PullKind kind) { return kind == PullKind::hold ? "hold" : "acceleration"; }

std::string_view to_string(ExclusionReason reason) {
    constexpr std::array<std::string_view, 8> names{"part-pedal", "shift",     "wheel-slip",  "lift-off",
                                                    "cold-oil",   "too-short", "clutch-slip", "intervention"};
    return names[static_cast<std::size_t>(reason)];
}

std::string_view to_string(Severity severity) {
    constexpr std::array<std::string_view, 4> names{"clear", "watch", "mend", "stop"};
    return names[static_cast<std::size_t>(severity)];
}

std::string_view to_string(Standing standing) {
    constexpr std::array<std::string_view, 3> names{"required", "modelled", "where-fitted"};
    return names[static_cast<std::size_t>(standing)];
}

}  // namespace revwright
