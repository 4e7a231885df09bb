#include "power/coast_time.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace revwright {
namespace {

/// The lowest resistance between two speeds.
double least_force(const RoadLoad& load, double from, double to) {
    double least = std::min(resistance(load, {from}).si, resistance(load, {to}).si);
    if (load.c.si > 0.0) {
        const double lowest_at = std::clamp(-load.b.si / (2.0 * load.c.si), to, from);
        least = std::min(least, resistance(load, {lowest_at}).si);
    }
    return least;
}

/// The integral of dv / F by Simpson's rule; the force is smooth, so that halves of this step move no eighth digit.
double summed(const RoadLoad& load, double from, double to) {
    constexpr int kSteps = 2000;
    const double step = (from - to) / kSteps;
    double sum = 0.0;
    for (int i = 0; i <= kSteps; ++i) {
        const double weight = i == 0 || i == kSteps ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
        sum += weight / resistance(load, {to + i * step}).si;
    }
    return sum * step / 3.0;
}

}  // namespace

std::optional<Duration> coast_time(Mass effective, const RoadLoad& load, Speed from, Speed to) {
    if (!(least_force(load, from.si, to.si) > 0.0)) return std::nullopt;
    const double a = load.a.si, c = load.c.si;
    if (load.b.si != 0.0 || a < 0.0 || c < 0.0) return Duration{effective.si * summed(load, from.si, to.si)};
    if (a == 0.0) return Duration{effective.si / c * (1.0 / to.si - 1.0 / from.si)};
    if (c == 0.0) return Duration{effective.si / a * (from.si - to.si)};
    const double k = std::sqrt(c / a);
    return Duration{effective.si / std::sqrt(a * c) * (std::atan(k * from.si) - std::atan(k * to.si))};
}

std::optional<double> statistical_accuracy_pct(std::span<const Duration> pair_times) {
    // For 4, 5, 6 ... pairs as printed; they are Student's for 95 %, rounded, but for ten pairs (2.26), which the table
    // of t / sqrt(n) printed beside it takes as 2.3. From twelve on the true figure is at most 2.2.
    constexpr std::array kStudent{3.2, 2.8, 2.6, 2.5, 2.4, 2.3, 2.2};
    const std::size_t n = pair_times.size();
    if (n < 4) return std::nullopt;
    const double count = static_cast<double>(n);
    double mean = 0.0, squares = 0.0;
    for (const Duration time : pair_times) mean += time.si / count;
    for (const Duration time : pair_times) squares += (time.si - mean) * (time.si - mean);
    const double sd = std::sqrt(squares / (count - 1.0));
    return 100.0 * kStudent[std::min(n - 4, kStudent.size() - 1)] * sd / (std::sqrt(count) * mean);
}

}  // namespace revwright
