#include "review/channel_faults.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "review/pulls.h"
#include "review/window.h"

namespace revwright {
namespace {

enum class Moves {
    freely,      // it may stand still
    as_pedal,    // it may stand still under a pedal that does, as a throttle held by a limiter
    with_pedal,  // a drive with idle and full pedal moves it
    with_speed,  // a pull moves it, whatever else
};

/// What is asked of a channel. Our choices, common practice, no source.
struct Asked {
    Signal signal;
    Moves moves;
    double least_hz;      // 0 = not asked
    double spike_height;  // 0 = may jump
};

constexpr std::array kAsked{
    Asked{Signal::engine_speed_rpm, Moves::with_speed, 4.0, 250.0},
    Asked{Signal::pedal_pct, Moves::freely, 2.0, 0.0},
    Asked{Signal::throttle_pct, Moves::as_pedal, 2.0, 0.0},
    Asked{Signal::boost_pressure_kpa, Moves::with_pedal, 4.0, 20.0},
    Asked{Signal::manifold_pressure_kpa, Moves::with_pedal, 4.0, 20.0},
    Asked{Signal::air_mass_flow_g_s, Moves::with_speed, 4.0, 25.0},
    Asked{Signal::charge_pct, Moves::with_pedal, 2.0, 25.0},
    Asked{Signal::lambda, Moves::with_pedal, 4.0, 0.1},
    Asked{Signal::knock_retard_deg, Moves::freely, 4.0, 0.0},
    Asked{Signal::rail_pressure_mpa, Moves::freely, 2.0, 3.0},
    Asked{Signal::intake_temp_c, Moves::freely, 0.0, 15.0},
    Asked{Signal::coolant_temp_c, Moves::freely, 0.0, 15.0},
    Asked{Signal::oil_temp_c, Moves::freely, 0.0, 15.0},
    Asked{Signal::exhaust_temp_c, Moves::freely, 0.0, 100.0},
    Asked{Signal::vehicle_speed_km_h, Moves::with_speed, 0.5, 12.0},
};

constexpr double kStuckSeconds = 1.0;
constexpr double kClippedSeconds = 0.5;
constexpr double kSpeedMovesRpm = 500.0;     // while engine speed moved so far, what goes with it must have moved
constexpr double kReversalsExpected = 10.0;  // jitter elsewhere would have turned this often in the time
constexpr double kPedalMovesPct = 50.0;      // a drive with both idle and full pedal
constexpr double kDriveSeconds = 10.0;       // and this much outside pulls
constexpr double kGapSeconds = 0.5;
constexpr double kGapIntervals = 5.0;
constexpr double kSpikeNoise = 8.0;  // typical steps between samples

struct Range {
    double low = INFINITY, high = -INFINITY;
    void add(double value) { low = std::min(low, value), high = std::max(high, value); }
    double width() const { return high >= low ? high - low : 0.0; }
};

Range range_of(const Series& series) {
    Range range;
    for (const double value : series.values)
        if (!std::isnan(value)) range.add(value);
    return range;
}

/// Turns of direction per sample: how much a trace jitters.
double jitter(const Samples& trace) {
    std::size_t turns = 0;
    for (std::size_t i = 1; i + 1 < trace.values.size(); ++i)
        turns += (trace.values[i] - trace.values[i - 1]) * (trace.values[i + 1] - trace.values[i]) < 0.0;
    return trace.values.empty() ? 0.0 : static_cast<double>(turns) / static_cast<double>(trace.values.size());
}

struct Still {
    std::size_t first = 0, last = 0;
};

/// The longest stretch of equal values.
Still longest_still(const Samples& trace) {
    Still best, now;
    for (std::size_t i = 1; i < trace.values.size(); ++i) {
        if (trace.values[i] != trace.values[i - 1]) now.first = i;
        now.last = i;
        if (now.last - now.first > best.last - best.first) best = now;
    }
    return best;
}

class Inspection {
public:
    explicit Inspection(const RunView& run) : run_(run) {
        const Channel* pedal = run.log().find(Signal::pedal_pct);
        double pulled = 0.0;
        for (const Pull& pull : run.pulls) pulled += pull.end_s - pull.start_s;
        const Log::Span span = run.log().span();
        whole_drive_ = pedal && range_of(run.log().series(*pedal)).width() >= kPedalMovesPct &&
                       span.end_s - span.start_s >= pulled + kDriveSeconds;
    }

    bool whole_drive() const { return whole_drive_; }

    std::vector<ChannelFault> run() {
        for (const Asked& asked : kAsked)
            for (int part = 0; part <= info(asked.signal).parts; ++part)
                if (const Channel* channel = run_.log().find(ChannelKey{asked.signal, part})) inspect(asked, *channel);
        holes_between_pulls();
        return std::move(faults_);
    }

private:
    void inspect(const Asked& asked, const Channel& channel) {
        if (asked.signal == Signal::boost_pressure_kpa && !run_.job->engine.turbocharged()) return;
        if (asked.moves == Moves::as_pedal) still_though_pedal_moves(channel);
        if (asked.moves == Moves::with_pedal && whole_drive_ && never_moves(channel)) return;
        const bool moves_in_pulls = asked.moves == Moves::with_pedal || asked.moves == Moves::with_speed;
        const double turns = moves_in_pulls ? jitter_in_pulls(channel) : 0.0;
        const double highest = range_of(run_.log().series(channel)).high;
        std::optional<ChannelFault> worst[5];
        for (std::size_t p = 0; p < run_.pulls.size(); ++p) {
            const Pull& pull = run_.pulls[p];
            const Samples trace = samples_within(run_.log(), channel, pull.start_s, pull.end_s);
            for (ChannelFault fault : {still(asked, trace, turns, highest), slow(asked, trace, pull),
                                       gap(asked, trace, pull), spike(asked, trace)}) {
                if (!(fault.limit > 0.0)) continue;  // nothing found
                fault.channel = &channel;
                fault.pull = p;
                auto& kept = worst[static_cast<std::size_t>(fault.kind)];
                if (!kept || severity(fault) > severity(*kept)) kept = fault;
            }
        }
        for (const auto& fault : worst)
            if (fault) faults_.push_back(*fault);
    }

    /// A hole that is long enough to end a pull lies in none: full pedal and a higher speed after it tell.
    void holes_between_pulls() {
        const Channel* speed = run_.log().find(Signal::engine_speed_rpm);
        const Channel* pedal = run_.log().find(Signal::pedal_pct);
        if (!pedal) pedal = run_.log().find(Signal::throttle_pct);
        if (!speed || !pedal) return;
        const Log::Span span = run_.log().span();
        const Samples turning = samples_within(run_.log(), *speed, span.start_s, span.end_s);
        const std::vector<double>& times = turning.times;
        const std::vector<double> pressed = held_along(run_.log().series(*pedal), times, kGapSeconds);
        const double longest_allowed = std::max(kGapSeconds, kGapIntervals * typical_interval(times));
        for (std::size_t i = 1; i < times.size(); ++i) {
            const double from = times[i - 1], to = times[i];
            const bool full = pressed[i - 1] >= kFullPedalPct && pressed[i] >= kFullPedalPct;
            const bool faster = turning.values[i] > turning.values[i - 1];
            const auto within = [&](const Pull& pull) { return pull.start_s <= from && to <= pull.end_s; };
            if (to - from <= longest_allowed || !full || !faster || std::ranges::any_of(run_.pulls, within)) continue;
            faults_.push_back(
                {ChannelFault::Kind::gap, speed, pull_beside(from, to), from, to - from, to - from, longest_allowed});
        }
    }

    /// The pull that a hole ended, else the one it let begin.
    std::optional<std::size_t> pull_beside(double from, double to) const {
        for (std::size_t p = 0; p < run_.pulls.size(); ++p)
            if (std::abs(run_.pulls[p].end_s - from) < kGapSeconds) return p;
        for (std::size_t p = 0; p < run_.pulls.size(); ++p)
            if (std::abs(run_.pulls[p].start_s - to) < kGapSeconds) return p;
        return std::nullopt;
    }

    static double severity(const ChannelFault& fault) {
        switch (fault.kind) {
            case ChannelFault::Kind::slow:
                return -fault.value;
            case ChannelFault::Kind::gap:
            case ChannelFault::Kind::spike:
                return fault.value;
            default:
                return fault.duration_s;
        }
    }

    bool never_moves(const Channel& channel) {
        const Range range = range_of(run_.log().series(channel));
        if (range.width() > 0.0 || !(range.high >= range.low)) return false;
        const Log::Span span = run_.log().span();
        faults_.push_back({ChannelFault::Kind::stuck,
                           &channel,
                           {},
                           span.start_s,
                           span.end_s - span.start_s,
                           range.low,
                           kStuckSeconds});
        return true;
    }

    /// Its longest stand-still, if the pedal went from idle to full well inside it: a throttle takes a moment to
    /// follow.
    void still_though_pedal_moves(const Channel& channel) {
        const Channel* pedal = run_.log().find(Signal::pedal_pct);
        const Log::Span span = run_.log().span();
        const Samples trace = samples_within(run_.log(), channel, span.start_s, span.end_s);
        if (!pedal || trace.values.empty()) return;
        const Still longest = longest_still(trace);
        const double from = trace.times[longest.first], to = trace.times[longest.last];
        const Samples pressed = samples_within(run_.log(), *pedal, from + kStuckSeconds, to - kStuckSeconds);
        if (range_of(pressed.series()).width() < kPedalMovesPct) return;
        faults_.push_back(
            {ChannelFault::Kind::stuck, &channel, {}, from, to - from, trace.values[longest.first], kStuckSeconds});
    }

    double jitter_in_pulls(const Channel& channel) const {
        Samples all;
        for (const Pull& pull : run_.pulls) {
            const Samples trace = samples_within(run_.log(), channel, pull.start_s, pull.end_s);
            const Still still = longest_still(trace);
            for (std::size_t i = 0; i < trace.values.size(); ++i)
                if (i < still.first || i > still.last) all.values.push_back(trace.values[i]);
        }
        return jitter(all);
    }

    double speed_moved(double from, double to) const {
        const Channel* speed = run_.log().find(Signal::engine_speed_rpm);
        return range_of(samples_within(run_.log(), *speed, from, to).series()).width();
    }

    /// Stuck, or clipped where it stands at the highest value the channel ever takes.
    ChannelFault still(const Asked& asked, const Samples& trace, double turns, double highest) const {
        if (asked.moves == Moves::freely || asked.moves == Moves::as_pedal || trace.values.size() < 5) return {};
        const Still longest = longest_still(trace);
        const double from = trace.times[longest.first], to = trace.times[longest.last];
        const double samples = static_cast<double>(longest.last - longest.first);
        const bool with_speed = asked.moves == Moves::with_speed && speed_moved(from, to) >= kSpeedMovesRpm;
        if (to - from < kClippedSeconds || (turns * samples < kReversalsExpected && !with_speed)) return {};
        const double value = trace.values[longest.first];
        ChannelFault fault{ChannelFault::Kind::stuck, nullptr, {}, from, to - from, value, kStuckSeconds};
        const bool part = longest.first > 0 || longest.last + 1 < trace.values.size();
        if (part && value >= highest)
            fault.kind = ChannelFault::Kind::clipped;
        else if (to - from < kStuckSeconds)
            return {};
        return fault;
    }

    static ChannelFault slow(const Asked& asked, const Samples& trace, const Pull& pull) {
        const double length = pull.end_s - pull.start_s;
        const double hz = static_cast<double>(trace.times.size()) / length;
        if (!(hz < asked.least_hz)) return {};
        return {ChannelFault::Kind::slow, nullptr, {}, pull.start_s, length, hz, asked.least_hz};
    }

    static ChannelFault gap(const Asked& asked, const Samples& trace, const Pull& pull) {
        if (asked.least_hz == 0.0 || trace.times.size() < 2) return {};
        const double longest_allowed = std::max(kGapSeconds, kGapIntervals * typical_interval(trace.times));
        ChannelFault fault{ChannelFault::Kind::gap, nullptr, {}, 0.0, 0.0, 0.0, 0.0};
        double before = pull.start_s;
        for (std::size_t i = 0; i <= trace.times.size(); ++i) {
            const double now = i < trace.times.size() ? trace.times[i] : pull.end_s;
            if (now - before > longest_allowed && now - before > fault.value)
                fault = {ChannelFault::Kind::gap, nullptr, {}, before, now - before, now - before, longest_allowed};
            before = now;
        }
        return fault;
    }

    static ChannelFault spike(const Asked& asked, const Samples& trace) {
        if (asked.spike_height == 0.0 || trace.values.size() < 5) return {};
        std::vector<double> steps;
        for (std::size_t i = 1; i < trace.values.size(); ++i)
            steps.push_back(std::abs(trace.values[i] - trace.values[i - 1]));
        const double least = std::max(asked.spike_height, kSpikeNoise * median(std::move(steps)));
        ChannelFault fault{ChannelFault::Kind::spike, nullptr, {}, 0.0, 0.0, 0.0, 0.0};
        for (std::size_t i = 1; i + 1 < trace.values.size(); ++i) {
            const double up = trace.values[i] - trace.values[i - 1], down = trace.values[i] - trace.values[i + 1];
            const double height = std::min(std::abs(up), std::abs(down));
            const bool alone = up * down > 0.0 && std::abs(up - down) < 0.5 * height;
            if (alone && height >= least && height > fault.value)
                fault = {ChannelFault::Kind::spike, nullptr, {}, trace.times[i], 0.0, height, least};
        }
        return fault;
    }

    const RunView& run_;
    bool whole_drive_ = false;
    std::vector<ChannelFault> faults_;
};

}  // namespace

std::vector<ChannelFault> channel_faults(const RunView& run) { return Inspection(run).run(); }

std::vector<const Channel*> dead_channels(const RunView& run) {
    std::vector<const Channel*> dead;
    if (run.pulls.empty() || !Inspection(run).whole_drive()) return dead;
    for (const Signal signal : {Signal::exhaust_temp_c, Signal::intake_temp_c, Signal::rail_pressure_mpa}) {
        const Channel* channel = run.log().find(signal);
        if (!channel) continue;
        const Range range = range_of(run.log().series(*channel));
        const bool must_move = signal == Signal::exhaust_temp_c;
        // Temperatures of 0 or below and pressures of 0 are what an open or unplugged input reads.
        if (range.width() == 0.0 && (must_move || range.high <= 0.0)) dead.push_back(channel);
    }
    return dead;
}

}  // namespace revwright
