#include "evidence/knock_events.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace revwright {
namespace {

constexpr double kLeastRiseDeg = 1.0;      // the contract's knock event
constexpr double kRoundOff = 0.02;         // a step of exactly 1 degree through float32 or a coarse factor
constexpr double kLeastStretchS = 0.4;     // shorter decays tell nothing about the rate
constexpr double kNearDeg = 0.15;          // two levels this close are one: noise and quantisation
constexpr double kUsualDecayDegS = 0.5;    // where no decay was seen; a guess, common practice, no source
constexpr double kSlowestRefreshS = 0.25;  // a value held longer is quantised decay, not a slow channel
constexpr std::size_t kLeastAtCeiling = 2;

/// A rise between two neighbouring samples, before it is known what it stands for.
struct Rise {
    std::size_t trace, index;  // of the sample after it
    double deg;
    double seconds;  // since the value before it was refreshed, as far as can be told

    /// What the events added: the rise, and the decay that it hides since they came.
    double added(double decay) const { return deg + decay * seconds; }
};

double median_of(std::vector<double> values) {
    if (values.empty()) return 0.0;
    const auto middle = values.begin() + std::ssize(values) / 2;
    std::ranges::nth_element(values, middle);
    return *middle;
}

/// Weighted median: long stretches of decay know the rate better than short ones.
double weighted_median(std::vector<std::pair<double, double>> value_weight) {
    std::ranges::sort(value_weight);
    double total = 0.0, sum = 0.0;
    for (const auto& [value, weight] : value_weight) total += weight;
    for (const auto& [value, weight] : value_weight)
        if ((sum += weight) >= 0.5 * total) return value;
    return 0.0;
}

/// Time from the last change of the value to sample i: a channel refreshed slower than the rows repeats its value.
double since_refresh(const Samples& s, std::size_t i) {
    std::size_t first = i - 1;
    while (first > 0 && s.values[first - 1] == s.values[i - 1] && s.times[i] - s.times[first - 1] <= kSlowestRefreshS)
        --first;
    return std::min(s.times[i] - s.times[first], kSlowestRefreshS);
}

/// Rises: a stretch over which the retard only grows counts once per sample that grew by at least half the least rise,
/// so that two events in neighbouring samples stay two.
std::vector<Rise> find_rises(const std::vector<RetardTrace>& traces) {
    std::vector<Rise> rises;
    for (std::size_t c = 0; c < traces.size(); ++c) {
        const Samples& s = traces[c].samples;
        for (std::size_t i = 1; i < s.times.size(); ++i)
            if (s.values[i] - s.values[i - 1] >= 0.5 * kLeastRiseDeg)
                rises.push_back({c, i, s.values[i] - s.values[i - 1], since_refresh(s, i)});
    }
    return rises;
}

/// Rate of each stretch between two rises while retard is left, weighted by its length.
void add_decays(const Samples& s, std::vector<std::pair<double, double>>& rates) {
    std::size_t first = 0;
    const auto close = [&](std::size_t last) {
        // A retard that stands at its ceiling before it decays says nothing about the rate.
        while (first < last && s.values[first + 1] == s.values[first]) ++first;
        const double seconds = s.times[last] - s.times[first];
        if (seconds >= kLeastStretchS && s.values[first] > s.values[last] + kNearDeg)
            rates.emplace_back((s.values[first] - s.values[last]) / seconds, seconds);
    };
    for (std::size_t i = 1; i < s.times.size(); ++i) {
        const bool rose = s.values[i] - s.values[i - 1] >= 0.5 * kLeastRiseDeg;
        const bool gone = s.values[i] <= kNearDeg;
        if (!rose && !gone && i + 1 < s.times.size()) continue;
        close(rose || gone ? i - 1 : i);
        first = i;
    }
}

double identify_decay(const std::vector<RetardTrace>& traces) {
    std::vector<std::pair<double, double>> rates;
    for (const RetardTrace& trace : traces) add_decays(trace.samples, rates);
    return rates.empty() ? kUsualDecayDegS : weighted_median(std::move(rates));
}

/// Most rises are one event, and those of two or three events are multiples: the step is the median of the lowest
/// cluster. Rises from a decay the logger saw late carry a dt.
double identify_step(const std::vector<Rise>& rises, double decay) {
    std::vector<double> sizes;
    for (const Rise& r : rises)
        if (r.added(decay) >= kLeastRiseDeg - kRoundOff) sizes.push_back(r.added(decay));
    if (sizes.empty()) return 0.0;
    std::ranges::sort(sizes);
    const double low = sizes[sizes.size() / 4];
    std::erase_if(sizes, [&](double size) { return size < 0.6 * low || size > 1.5 * low; });
    return median_of(std::move(sizes));
}

/// The logged resolution: the least change between neighbouring samples, 0 for none.
double quantum_of(const std::vector<RetardTrace>& traces) {
    double least = 0.0;
    for (const RetardTrace& trace : traces)
        for (std::size_t i = 1; i < trace.samples.values.size(); ++i) {
            const double change = std::abs(trace.samples.values[i] - trace.samples.values[i - 1]);
            if (change > 0.0 && (least == 0.0 || change < least)) least = change;
        }
    return least;
}

/// The highest retard, where it is a ceiling: rises end there that are no whole number of steps (they were cut off), or
/// the retard stays there although it should decay.
std::optional<double> identify_ceiling(const std::vector<RetardTrace>& traces, const std::vector<Rise>& rises,
                                       const KnockLaw& law) {
    double top = 0.0;
    for (const RetardTrace& trace : traces)
        for (const double r : trace.samples.values) top = std::max(top, r);
    if (law.step_deg <= 0.0 || top < 1.5 * law.step_deg) return std::nullopt;

    const double uncertain = 0.2 + quantum_of(traces) / law.step_deg;
    const auto at_top = [&](double r) { return r >= top - kNearDeg; };
    std::size_t arrivals = 0, cut = 0;
    for (const Rise& rise : rises) {
        if (!at_top(traces[rise.trace].samples.values[rise.index])) continue;
        const double steps = rise.added(law.decay_deg_s) / law.step_deg;
        ++arrivals;
        if (std::abs(steps - std::round(steps)) > uncertain) ++cut;
    }
    double longest = 0.0;
    for (const RetardTrace& trace : traces) {
        const Samples& s = trace.samples;
        std::size_t first = 0;
        for (std::size_t i = 0; i < s.times.size(); ++i) {
            if (!at_top(s.values[i]))
                first = i + 1;
            else
                longest = std::max(longest, s.times[i] - s.times[first]);
        }
    }
    // One whole step takes step/decay seconds to decay: a stay of half that is no decay.
    const double patience = law.decay_deg_s > 0.0 ? 0.5 * law.step_deg / law.decay_deg_s : 1e9;
    const bool returned = arrivals >= kLeastAtCeiling && cut > 0;
    return returned || longest > std::max(1.0, patience) ? std::optional(top) : std::nullopt;
}

double whole_events(double corrected, const KnockLaw& law) {
    return law.step_deg > 0.0 ? std::max(1.0, std::round(corrected / law.step_deg)) : 1.0;
}

void add_censored(const RetardTrace& trace, double ceiling, std::vector<CensoredStretch>& out) {
    const Samples& s = trace.samples;
    bool inside = false;
    for (std::size_t i = 0; i < s.times.size(); ++i) {
        const bool at = s.values[i] >= ceiling - kNearDeg;
        const double until = i + 1 < s.times.size() ? s.times[i + 1] : s.times[i];
        if (at && !inside)
            out.push_back({trace.cylinder, s.times[i], until});
        else if (at)
            out.back().end_s = until;
        inside = at;
    }
}

}  // namespace

KnockHistory recover_knock_events(std::vector<RetardTrace> traces) {
    KnockHistory history;
    history.traces = std::move(traces);
    const std::vector<Rise> rises = find_rises(history.traces);
    history.law.decay_deg_s = identify_decay(history.traces);
    history.law.step_deg = identify_step(rises, history.law.decay_deg_s);
    history.law.ceiling_deg = identify_ceiling(history.traces, rises, history.law);
    for (const Rise& rise : rises) {
        const double corrected = rise.added(history.law.decay_deg_s);
        if (corrected < kLeastRiseDeg - kRoundOff) continue;
        const RetardTrace& trace = history.traces[rise.trace];
        history.events.push_back({trace.samples.times[rise.index], trace.cylinder, whole_events(corrected, history.law),
                                  trace.samples.values[rise.index]});
    }
    std::ranges::sort(history.events, [](const RecoveredKnock& a, const RecoveredKnock& b) {
        return a.time_s != b.time_s ? a.time_s < b.time_s : a.cylinder < b.cylinder;
    });
    if (history.law.ceiling_deg)
        for (const RetardTrace& trace : history.traces) add_censored(trace, *history.law.ceiling_deg, history.censored);
    return history;
}

KnockHistory recover_knock_events(const Log& log) {
    std::map<int, const Channel*> logged;
    for (const Channel& channel : log.channels)
        if (channel.key && channel.key->signal == Signal::knock_retard_deg) logged.emplace(channel.key->part, &channel);
    if (logged.size() > 1) logged.erase(0);
    std::vector<RetardTrace> traces;
    for (const auto& [cylinder, channel] : logged) {
        RetardTrace trace{cylinder, {}};
        const Series series = log.series(*channel);
        for (std::size_t i = 0; i < series.size(); ++i) {
            if (!std::isfinite(series.values[i])) continue;
            trace.samples.times.push_back(series.times[i]);
            trace.samples.values.push_back(series.values[i]);
        }
        if (!trace.samples.times.empty()) traces.push_back(std::move(trace));
    }
    return recover_knock_events(std::move(traces));
}

double retard_at(const RetardTrace& trace, double t) {
    const auto at = index_at(trace.samples.series(), t);
    return at ? trace.samples.values[*at] : 0.0;
}

}  // namespace revwright
