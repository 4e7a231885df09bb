#include "review/merge_faults.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

using Kind = ChannelFault::Kind;

constexpr double kSameMomentS = 0.02;  // lone samples of channels with stamps of their own

double end_of(const ChannelFault& fault) { return fault.time_s + fault.duration_s; }

/// Over the same stretch: they share more than half of the shorter one.
bool same_stretch(const ChannelFault& a, const ChannelFault& b) {
    if (a.kind == Kind::spike) return std::abs(a.time_s - b.time_s) <= kSameMomentS;
    const double shared = std::min(end_of(a), end_of(b)) - std::max(a.time_s, b.time_s);
    return shared > 0.5 * std::min(a.duration_s, b.duration_s);
}

bool is_probe(const ChannelFault& fault) { return fault.channels.front().signal == Signal::lambda; }

bool one_cause(const ChannelFault& a, const ChannelFault& b) {
    if (a.kind != b.kind || a.whole_log != b.whole_log) return false;
    if (a.kind == Kind::slow || a.kind == Kind::coarse) return true;
    if (a.kind == Kind::clipped && is_probe(a) != is_probe(b)) return false;  // sensors of different kinds
    return a.pull == b.pull && same_stretch(a, b);
}

/// Which of two faults of one kind is worse, relative to what was asked.
bool worse(const ChannelFault& a, const ChannelFault& b) {
    if (a.kind == Kind::slow) return a.value / a.limit < b.value / b.limit;
    if (a.kind == Kind::coarse || a.kind == Kind::spike) return a.value / a.limit > b.value / b.limit;
    return a.duration_s > b.duration_s;
}

void take_in(ChannelFault& fault, const ChannelFault& other) {
    std::vector<ChannelKey> channels = fault.channels;
    for (const ChannelKey key : other.channels)
        if (std::ranges::find(channels, key) == channels.end()) channels.push_back(key);
    if (worse(other, fault)) fault = other;
    fault.channels = std::move(channels);
}

}  // namespace

bool nothing_between(const Log& log, double from, double to) {
    return std::ranges::none_of(log.time_bases, [&](const TimeBase& base) {
        const auto next = std::ranges::upper_bound(base.seconds, from);
        return next != base.seconds.end() && *next < to;
    });
}

std::vector<ChannelFault> merge_faults(const Log& log, std::vector<ChannelFault> faults) {
    std::vector<ChannelFault> merged;
    for (ChannelFault& fault : faults) {
        const auto same =
            std::ranges::find_if(merged, [&](const ChannelFault& kept) { return one_cause(kept, fault); });
        if (same == merged.end())
            merged.push_back(std::move(fault));
        else
            take_in(*same, fault);
    }
    for (ChannelFault& fault : merged)
        if (fault.kind == Kind::gap) fault.all_channels = nothing_between(log, fault.time_s, end_of(fault));
    return merged;
}

}  // namespace revwright
