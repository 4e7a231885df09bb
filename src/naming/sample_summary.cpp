#include "naming/sample_summary.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

constexpr std::size_t kMostLookedAt = 4000;

SampleSummary summarise(std::vector<double> values) {
    if (values.empty()) return {};
    std::ranges::sort(values);
    const std::size_t last = values.size() - 1, edge = values.size() / 100;
    return {.samples = values.size(),
            .low = values[edge],
            .middle = values[last / 2],
            .high = values[last - edge],
            .all_zero = values.front() == 0.0 && values.back() == 0.0};
}

}  // namespace

SampleSummary summary_of(std::span<const double> values) {
    const std::size_t step = values.size() / kMostLookedAt + 1;
    std::vector<double> taken;
    for (std::size_t i = 0; i < values.size(); i += step)
        if (std::isfinite(values[i])) taken.push_back(values[i]);
    return summarise(std::move(taken));
}

SampleSummary summary_in(const Series& series, const Stretches& stretches) {
    std::vector<double> taken;
    for (const auto& [from, to] : stretches) {
        const Series part = slice(series, from, to);
        for (const double value : part.values)
            if (std::isfinite(value)) taken.push_back(value);
    }
    return summarise(std::move(taken));
}

}  // namespace revwright
