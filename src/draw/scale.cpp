#include "draw/scale.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace revwright::draw {
namespace {

double round_step(double rough) {
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    for (const double step : {1.0, 2.0, 5.0})
        if (rough <= step * power * (1.0 + 1e-9)) return step * power;
    return 10.0 * power;
}

int decimals_of_step(double step) { return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 9); }

}  // namespace

std::vector<double> ticks(const Extent& extent, int wanted) {
    const double width = extent.high - extent.low;
    if (!(width > 0.0) || !std::isfinite(width) || wanted < 1) return {};
    const double step = round_step(width / wanted);
    std::vector<double> found;
    // Counted in whole steps, so that 0.3 is not 0.30000000000000004 by addition.
    for (double n = std::ceil(extent.low / step - 1e-9); n * step <= extent.high + 1e-9 * step; n += 1.0)
        found.push_back(n == 0.0 ? 0.0 : n * step);
    return found;
}

std::vector<std::string> tick_labels(const std::vector<double>& ticks) {
    const int decimals = ticks.size() < 2 ? 0 : decimals_of_step(ticks[1] - ticks[0]);
    std::vector<std::string> labels;
    for (const double tick : ticks)
        labels.push_back(decimals == 0 ? with_thousands(tick) : fmt::format("{:.{}f}", tick, decimals));
    return labels;
}

std::string with_thousands(double value) {
    std::string digits = fmt::format("{:.0f}", std::abs(value));
    for (auto at = static_cast<std::ptrdiff_t>(digits.size()) - 3; at > 0; at -= 3)
        digits.insert(static_cast<std::size_t>(at), ",");
    return (value <= -0.5 ? "-" : "") + digits;
}

}  // namespace revwright::draw
