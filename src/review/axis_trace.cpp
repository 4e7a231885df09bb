#include "review/axis_trace.h"

#include <algorithm>
#include <cmath>

#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kDerivedShare = 0.03;  // charge worked out from air flow
constexpr double kLoggedShare = 0.003;  // noise of a logged axis
constexpr double kMostReach = 1.0;      // s; what is renewed more seldom says little of a pull

/// How long a value stands before it is renewed: a row may repeat it.
double refresh_of(const Samples& samples) {
    const double row = typical_interval(samples.times);
    std::vector<double> holds;
    std::size_t since = 0;
    for (std::size_t i = 1; i < samples.times.size(); ++i) {
        if (samples.values[i] == samples.values[since]) continue;
        holds.push_back(samples.times[i] - samples.times[since]);
        since = i;
    }
    return holds.empty() ? row : std::max(row, median(std::move(holds)));
}

}  // namespace

AxisBox AxisTrace::at(double t) const {
    AxisBox box;
    const auto from = std::ranges::lower_bound(samples.times, t - reach_s - 1e-9);
    for (auto i = static_cast<std::size_t>(from - samples.times.begin());
         i < samples.times.size() && samples.times[i] <= t + reach_s + 1e-9; ++i) {
        const double value = samples.values[i];
        if (!(value >= box.low)) box.low = value;
        if (!(value <= box.high)) box.high = value;
        if (samples.times[i] <= t || std::isnan(box.middle)) box.middle = value;
    }
    box.low -= noise_share * std::abs(box.low);
    box.high += noise_share * std::abs(box.high);
    return box;
}

std::optional<std::vector<AxisTrace>> traces_for(const RunView& run, const Table& table) {
    std::vector<AxisTrace> traces;
    for (const Axis& axis : table.axes) {
        auto samples = samples_of(run.log(), run.job->engine, axis.quantity());
        if (!samples || samples->times.size() < 2) return std::nullopt;
        const bool logged = run.log().find(axis.quantity()) != nullptr;
        // Only where full load is driven does the refresh matter; at a steady cruise values stand for long.
        Samples moving;
        for (const Pull& pull : run.pulls) {
            const Series part = slice(samples->series(), pull.start_s, pull.end_s);
            moving.times.insert(moving.times.end(), part.times.begin(), part.times.end());
            moving.values.insert(moving.values.end(), part.values.begin(), part.values.end());
        }
        const double row = std::min(kMostReach, typical_interval(samples->times));
        const double reach = std::clamp(refresh_of(moving), row, kMostReach);
        traces.push_back({std::move(*samples), reach, logged ? kLoggedShare : kDerivedShare});
    }
    return traces;
}

}  // namespace revwright
