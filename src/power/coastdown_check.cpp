#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <span>

#include "power/coastdown_runs.h"

namespace revwright {
namespace {

constexpr std::size_t kFewestSamples = 8;
constexpr double kLeastRange = 8.0;       // m/s; below it a, b and c cannot be told apart (our choice)
constexpr double kStandstill = 1.0;       // m/s; resistance turns round there
constexpr double kRiseSd = 4.0;           // standard errors that a rise must have to be one
constexpr double kSmallestNoise = 0.003;  // m/s; of the steps of any receiver

double mean_of(std::span<const double> values) {
    double sum = 0.0;
    for (const double value : values) sum += value;
    return sum / static_cast<double>(values.size());
}

/// Noise of one sample, from second differences, which a smooth run does not have.
double noise_of(const std::vector<double>& speed) {
    double squares = 0.0;
    for (std::size_t i = 2; i < speed.size(); ++i) squares += std::pow(speed[i] - 2.0 * speed[i - 1] + speed[i - 2], 2);
    return std::sqrt(squares / 6.0 / std::max(1.0, static_cast<double>(speed.size()) - 2.0)) + kSmallestNoise;
}

/// Whether one part of a run is faster on average than the part before it, by more than noise explains.
bool gets_faster(const std::vector<double>& speed) {
    const std::size_t parts = std::clamp<std::size_t>(speed.size() / 4, 2, 10), length = speed.size() / parts;
    if (length == 0) return false;
    const double sure = kRiseSd * noise_of(speed) * std::sqrt(2.0 / static_cast<double>(length));
    const std::span<const double> all(speed);
    for (std::size_t part = 1; part < parts; ++part) {
        const double before = mean_of(all.subspan((part - 1) * length, length));
        if (mean_of(all.subspan(part * length, length)) > before + sure) return true;
    }
    return false;
}

}  // namespace

Result<void> check_coastdown(const CoastdownTest& test) {
    std::size_t count = 0;
    double low = std::numeric_limits<double>::infinity(), high = 0.0;
    for (const CoastdownRun& run : test.runs) {
        count += run.speed_m_per_s.value.size();
        for (const double v : run.speed_m_per_s.value) low = std::min(low, v), high = std::max(high, v);
    }
    if (count < kFewestSamples)
        return refuse(fmt::format("a coastdown needs {} speeds, these runs have {}", kFewestSamples, count));
    for (std::size_t i = 0; i < test.runs.size(); ++i) {
        const std::vector<double>& speed = test.runs[i].speed_m_per_s.value;
        if (std::ranges::any_of(speed, [](double v) { return !(v > kStandstill); }))
            return refuse(fmt::format("coasting run {} comes to a stop: cut it where it falls below 5 km/h", i + 1));
        if (gets_faster(speed))
            return refuse(fmt::format("coasting run {} gets faster on its way: something pushes the car", i + 1));
    }
    if (high - low < kLeastRange)
        return refuse(
            fmt::format("these coasting runs cover {:.0f} km/h only; it takes {:.0f} km/h to tell rolling "
                        "resistance from that of the air",
                        3.6 * (high - low), 3.6 * kLeastRange));
    return {};
}

}  // namespace revwright
