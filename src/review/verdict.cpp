#include <array>
#include <cmath>

#include "review/checks.h"

namespace revwright {
namespace {

/// Two decimal numbers that print the same are the same: 0.90 + 0.02 reaches 0.92.
constexpr double kSame = 1e-9;

}  // namespace

Verdict verdict(double value, const Limit& limit, Side side) {
    const std::array steps{std::pair{limit.stop, Severity::stop}, std::pair{limit.mend, Severity::mend},
                           std::pair{limit.watch, Severity::watch}};
    const auto margin = [&](double threshold) { return side == Side::above ? threshold - value : value - threshold; };
    Verdict clear;
    for (const auto& [threshold, severity] : steps) {
        if (!threshold) continue;
        const double distance = margin(*threshold);
        const bool reached = side == Side::above ? distance <= kSame : distance < -kSame;
        if (reached) return {severity, *threshold, distance};
        clear = {Severity::clear, *threshold, distance};
    }
    return clear;
}

Finding finding(double time_s, double value, const Verdict& verdict) {
    Finding found;
    found.severity = verdict.severity;
    found.time_s = time_s;
    found.value = value;
    found.limit = verdict.limit;
    found.margin = verdict.margin;
    return found;
}

}  // namespace revwright
