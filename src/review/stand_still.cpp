#include "review/stand_still.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

constexpr double kNoSingleStep = 1.5;  // resolutions: a value between two steps toggles by one without moving

/// The values of a trace that differ from the one before, and how long each stood.
struct Moves {
    std::vector<double> values, holds_s;
};

void add_moves(const Samples& trace, std::size_t from, std::size_t to, Moves& moves) {
    std::size_t since = from;
    for (std::size_t i = from; i < to; ++i) {
        if (i > from && trace.values[i] == trace.values[i - 1]) continue;
        if (i > from) moves.holds_s.push_back(trace.times[i] - trace.times[since]);
        moves.values.push_back(trace.values[i]);
        since = i;
    }
}

double count_turns(const std::vector<double>& values, double least_step) {
    double turns = 0.0;
    for (std::size_t i = 1; i + 1 < values.size(); ++i) {
        const double before = values[i] - values[i - 1], after = values[i + 1] - values[i];
        turns += before * after < 0.0 && std::min(std::abs(before), std::abs(after)) > least_step ? 1.0 : 0.0;
    }
    return turns;
}

}  // namespace

Still longest_still(const Samples& trace) {
    Still best, now;
    for (std::size_t i = 1; i < trace.values.size(); ++i) {
        if (trace.values[i] != trace.values[i - 1]) now.first = i;
        now.last = i;
        if (now.last - now.first > best.last - best.first) best = now;
    }
    return best;
}

Liveliness liveliness(const std::vector<Samples>& traces, std::optional<double> resolution) {
    const double least_step = kNoSingleStep * resolution.value_or(0.0);
    double turns = 0.0, samples = 0.0;
    std::vector<double> holds;
    for (const Samples& trace : traces) {
        if (trace.values.empty()) continue;
        const Still still = longest_still(trace);
        Moves before, after;
        add_moves(trace, 0, still.first, before);
        add_moves(trace, still.last + 1, trace.values.size(), after);
        turns += count_turns(before.values, least_step) + count_turns(after.values, least_step);
        samples += static_cast<double>(trace.values.size() - (still.last - still.first + 1));
        for (const Moves* moves : {&before, &after})
            holds.insert(holds.end(), moves->holds_s.begin(), moves->holds_s.end());
    }
    Liveliness found;
    if (samples > 0.0) found.turns_per_sample = turns / samples;
    if (holds.empty()) return found;
    const auto most = holds.begin() + std::ssize(holds) * 9 / 10;
    std::ranges::nth_element(holds, most);
    found.usual_hold_s = *most;
    return found;
}

}  // namespace revwright
