#include "evidence/gates.h"

#include <algorithm>

#include "review/derived.h"

namespace revwright {
namespace {

constexpr double kAround = 0.5;        // s
constexpr double kLimiterNear = 50.0;  // rpm below the limit: the limiter may already act. Common practice, no source

}  // namespace

std::vector<Stretch> gated_stretches(const Log& log, std::size_t log_index, const Review& review,
                                     const Engine& engine) {
    std::vector<Stretch> gated;
    for (const Excluded& e : review.excluded)
        if (e.log == log_index && e.reason == ExclusionReason::shift)
            gated.push_back({e.start_s - kAround, e.end_s + kAround});
    const auto speed = samples_of(log, engine, {Signal::engine_speed_rpm, 0});
    if (speed && engine.max_speed_rpm > 0.0)
        for (std::size_t i = 0; i < speed->times.size(); ++i)
            if (speed->values[i] >= engine.max_speed_rpm - kLimiterNear)
                gated.push_back({speed->times[i] - kAround, speed->times[i] + kAround});
    std::ranges::sort(gated, {}, &Stretch::start_s);
    std::vector<Stretch> merged;
    for (const Stretch& s : gated) {
        if (!merged.empty() && s.start_s <= merged.back().end_s)
            merged.back().end_s = std::max(merged.back().end_s, s.end_s);
        else
            merged.push_back(s);
    }
    return merged;
}

bool inside(const std::vector<Stretch>& stretches, double t) {
    return std::ranges::any_of(stretches, [t](const Stretch& s) { return t >= s.start_s && t <= s.end_s; });
}

std::vector<Stretch> open_parts(double start_s, double end_s, const std::vector<Stretch>& gated) {
    std::vector<Stretch> open;
    double from = start_s;
    for (const Stretch& gate : gated) {
        if (gate.end_s <= from || gate.start_s >= end_s) continue;
        if (gate.start_s > from) open.push_back({from, gate.start_s});
        from = gate.end_s;
    }
    if (from < end_s) open.push_back({from, end_s});
    return open;
}

}  // namespace revwright
