#include "review/engine_running.h"

#include <algorithm>

#include "review/window.h"

namespace revwright {
namespace {

constexpr double kGapSeconds = 5.0;  // a hole this long: nobody knows whether it ran through

}  // namespace

Samples whole_of(const Log& log, const Channel& channel) {
    const Log::Span span = log.span();
    return samples_within(log, channel, span.start_s, span.end_s);
}

RunningTime::RunningTime(const Log& log, double settle) {
    const Channel* channel = log.find(Signal::engine_speed_rpm);
    if (!channel) return;
    const Samples speed = whole_of(log, *channel);
    const std::vector<double> calm = median_of_three(speed.values);
    bool inside = false;
    for (std::size_t i = 0; i < calm.size(); ++i) {
        const bool runs = calm[i] >= kRunsFromRpm;
        const bool hole = i > 0 && speed.times[i] - speed.times[i - 1] > kGapSeconds;
        if (runs && inside && !hole)
            stretches_.back().to = speed.times[i];
        else if (runs)
            stretches_.push_back({speed.times[i], speed.times[i]});
        inside = runs;
    }
    for (Stretch& stretch : stretches_) stretch.from += settle;
    std::erase_if(stretches_, [](const Stretch& stretch) { return stretch.to < stretch.from; });
}

bool RunningTime::at(double time_s) const {
    const auto after = std::ranges::upper_bound(stretches_, time_s, std::less{}, &Stretch::from);
    return after != stretches_.begin() && time_s <= std::prev(after)->to;
}

}  // namespace revwright
