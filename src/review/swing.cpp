#include "review/swing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <span>
#include <vector>

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kLowestHz = 1.0;
constexpr double kStepHz = 0.25;
constexpr double kLeastSeconds = 1.0;
constexpr double kLeastPeriods = 2.5;
constexpr std::size_t kLeastSamples = 8;
constexpr double kLeastShare = 0.5;  // of what the parabola leaves is the sine's
constexpr int kLeastTurns = 4;
constexpr double kIdlePeriods = 1.25;  // before the first and after the last of them, together
constexpr double kTurnShare = 0.5;     // of the swing: the values turned round

constexpr std::size_t kUnknowns = 5;  // 1, t, t^2, cos, sin
using Vector = std::array<double, kUnknowns>;
using Matrix = std::array<Vector, kUnknowns>;

/// Solves the first n of the normal equations by elimination with pivots; false where they do not tell.
bool solve(Matrix a, Vector b, std::size_t n, Vector& x) {
    for (std::size_t k = 0; k < n; ++k) {
        std::size_t pivot = k;
        for (std::size_t r = k + 1; r < n; ++r)
            if (std::abs(a[r][k]) > std::abs(a[pivot][k])) pivot = r;
        std::swap(a[k], a[pivot]), std::swap(b[k], b[pivot]);
        if (std::abs(a[k][k]) < 1e-9) return false;
        for (std::size_t r = k + 1; r < n; ++r) {
            const double factor = a[r][k] / a[k][k];
            for (std::size_t c = k; c < n; ++c) a[r][c] -= factor * a[k][c];
            b[r] -= factor * b[k];
        }
    }
    x = {};
    for (std::size_t k = n; k-- > 0;) {
        x[k] = b[k];
        for (std::size_t c = k + 1; c < n; ++c) x[k] -= a[k][c] * x[c];
        x[k] /= a[k][k];
    }
    return true;
}

Vector terms(double t, double hertz) {
    const double angle = 2.0 * std::numbers::pi * hertz * t;
    return {1.0, t, t * t, std::cos(angle), std::sin(angle)};
}

/// What the first n terms leave of the values.
double left_over(const Series& window, double middle, double hertz, const Vector& x, std::size_t n) {
    double sum = 0.0;
    for (std::size_t i = 0; i < window.size(); ++i) {
        const Vector term = terms(window.times[i] - middle, hertz);
        double rest = window.values[i];
        for (std::size_t k = 0; k < n; ++k) rest -= x[k] * term[k];
        sum += rest * rest;
    }
    return sum;
}

/// Peak to peak of the sine in this window, 0 where it is none.
double sine_in(const Series& window, double hertz) {
    const double middle = 0.5 * (window.times.front() + window.times.back());
    Matrix normal{};
    Vector right{};
    for (std::size_t i = 0; i < window.size(); ++i) {
        const Vector term = terms(window.times[i] - middle, hertz);
        for (std::size_t r = 0; r < kUnknowns; ++r) {
            right[r] += term[r] * window.values[i];
            for (std::size_t c = 0; c < kUnknowns; ++c) normal[r][c] += term[r] * term[c];
        }
    }
    Vector parabola, all;
    if (!solve(normal, right, 3, parabola) || !solve(normal, right, kUnknowns, all)) return 0.0;
    const double without = left_over(window, middle, hertz, parabola, 3);
    const double with = left_over(window, middle, hertz, all, kUnknowns);
    return with <= (1.0 - kLeastShare) * without ? 2.0 * std::hypot(all[3], all[4]) : 0.0;
}

struct Turns {
    int count = 0;
    double seconds = 0.0;  // from the first to the last
};

/// How often the values went up or down by `swing` before they turned.
Turns turns(const Series& window, double swing) {
    Turns found;
    int direction = 0;  // of the last full swing
    double low = window.values.front(), high = low, first = 0.0;
    for (std::size_t i = 0; i < window.size(); ++i) {
        const double value = window.values[i];
        low = std::min(low, value), high = std::max(high, value);
        const int before = direction;
        if (direction <= 0 && value >= low + swing) direction = 1, high = value;
        if (direction == before && direction >= 0 && value <= high - swing) direction = -1, low = value;
        if (direction != before) {
            if (found.count++ == 0) first = window.times[i];
            found.seconds = window.times[i] - first;
        }
        if (direction > 0 && value == high) low = value;
        if (direction < 0 && value == low) high = value;
    }
    return found;
}

/// Whether it goes on through the window, and is no burst within it.
bool keeps_turning(const Series& window, double swing, double hertz) {
    const Turns found = turns(window, kTurnShare * swing);
    const double length = window.times.back() - window.times.front();
    return found.count >= kLeastTurns && found.seconds >= length - kIdlePeriods / hertz;
}

bool moves_by(std::span<const double> values, double least) {
    const auto [low, high] = std::ranges::minmax(values);
    return high - low >= least;
}

struct Window {
    double from_s, to_s, swing, hertz;
    double middle() const { return 0.5 * (from_s + to_s); }
};

std::vector<Window> swinging_windows(const Series& series, double highest_hz, double at_least) {
    std::vector<Window> found;
    for (double hertz = kLowestHz; hertz <= highest_hz + 1e-9; hertz += kStepHz) {
        const double length = std::max(kLeastSeconds, kLeastPeriods / hertz);
        std::size_t end = 0;
        for (std::size_t first = 0; first < series.size(); ++first) {
            while (end < series.size() && series.times[end] < series.times[first] + length - 1e-9) ++end;
            if (end == series.size()) break;
            const std::size_t count = end - first + 1;
            const Series window{series.times.subspan(first, count), series.values.subspan(first, count)};
            // The cheap necessary conditions first: a fit costs a sine and a cosine a sample.
            if (count < kLeastSamples || !moves_by(window.values, kTurnShare * at_least)) continue;
            if (!keeps_turning(window, at_least, hertz)) continue;
            const double swing = sine_in(window, hertz);
            if (swing < at_least || !keeps_turning(window, swing, hertz)) continue;
            found.push_back({window.times.front(), window.times.back(), swing, hertz});
        }
    }
    std::ranges::stable_sort(found, {}, &Window::from_s);
    return found;
}

/// The windows that overlap, directly or by others, with the one that swings most; sorted by their begin.
std::span<const Window> around(std::span<const Window> windows, const Window& worst) {
    std::size_t first = 0;
    double reach = -INFINITY;
    for (std::size_t i = 0; i < windows.size(); ++i) {
        if (windows[i].from_s > reach) {
            if (reach >= worst.to_s) return windows.subspan(first, i - first);
            first = i;
        }
        reach = std::max(reach, windows[i].to_s);
    }
    return windows.subspan(first);
}

}  // namespace

Swing strongest_swing(const Series& series, double highest_hz, double at_least) {
    const std::vector<Window> windows = swinging_windows(series, highest_hz, at_least);
    if (windows.empty()) return {};
    const Window worst = *std::ranges::max_element(windows, {}, &Window::swing);
    Swing swing{worst.swing, worst.hertz, worst.from_s, worst.to_s, worst.middle()};
    // On a level stretch the strongest window is a matter of noise: the middle of the strong ones.
    const double strong = std::midpoint(at_least, worst.swing);
    double weight = 0.0, moment = 0.0;
    for (const Window& window : around(windows, worst)) {
        swing.from_s = std::min(swing.from_s, window.from_s), swing.to_s = std::max(swing.to_s, window.to_s);
        const double above = std::max(0.0, window.swing - strong);
        weight += above, moment += above * window.middle();
    }
    if (weight > 0.0) swing.worst_s = moment / weight;
    return swing;
}

}  // namespace revwright
