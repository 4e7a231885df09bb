#include "power/uncertainty_words.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright {
namespace {

constexpr double kWorthNaming = 0.1;  // of the variance

}  // namespace

std::string uncertainty_in_words(const PowerPeak& peak, std::span<const PowerRemedy> remedies) {
    if (remedies.empty()) return {};
    const double half_width = 0.5 * (peak.interval.high - peak.interval.low);
    const PowerRemedy& best = remedies.front();
    if (best.share < kWorthNaming)
        return fmt::format(
            "No single cause dominates the uncertainty of {:.1f} kW either way; no one measurement would "
            "shrink it by much.",
            half_width);
    std::string text =
        fmt::format("Most of the uncertainty is {} ({:.0f} % of the variance)", best.cause, 100.0 * best.share);
    if (remedies.size() > 1 && remedies[1].share >= kWorthNaming)
        text += fmt::format(", then {} ({:.0f} %)", remedies[1].cause, 100.0 * remedies[1].share);
    return text + fmt::format(": {}, and {:.1f} kW either way would become about {:.1f} kW.", best.measurement,
                              half_width, best.half_width_kw);
}

std::string without_road_in_words(const PowerSet& set) {
    const bool on_dyno = std::ranges::any_of(
        set.methods, [](const MethodPower& each) { return each.method == PowerMethod::dynamometer; });
    if (on_dyno)
        return "Most of the uncertainty is the dynamometer's scale and the loss between crank and roller: measuring "
               "that "
               "loss, by running the car down in neutral, would shrink it most.";
    return "Most of the uncertainty is how efficient this engine is and what its air meter's scale is: a full-load "
           "pull "
           "on the road that can be used would shrink it most.";
}

}  // namespace revwright
