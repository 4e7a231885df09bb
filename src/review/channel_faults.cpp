#include "review/channel_faults.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "review/merge_faults.h"
#include "review/pulls.h"
#include "review/refresh.h"
#include "review/stand_still.h"
#include "review/window.h"

namespace revwright {
namespace {

using Kind = ChannelFault::Kind;

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
    double least_hz;       // 0 = not asked
    double spike_height;   // 0 = may jump
    double coarsest;       // step that its checks can still be judged by: half of their first threshold; 0 = not asked
    bool repeats = false;  // it stands still by nature, so that its changes do not tell how often it is renewed
};

constexpr std::array kAsked{
    Asked{Signal::engine_speed_rpm, Moves::with_speed, 4.0, 250.0, 60.0},
    Asked{Signal::pedal_pct, Moves::freely, 2.0, 0.0, 5.0, true},
    Asked{Signal::throttle_pct, Moves::as_pedal, 2.0, 0.0, 5.0, true},
    Asked{Signal::boost_pressure_kpa, Moves::with_pedal, 4.0, 20.0, 3.5},
    Asked{Signal::manifold_pressure_kpa, Moves::with_pedal, 4.0, 20.0, 3.5},
    Asked{Signal::air_mass_flow_g_s, Moves::with_speed, 4.0, 25.0, 0.0},
    Asked{Signal::charge_pct, Moves::with_pedal, 2.0, 25.0, 0.0},
    Asked{Signal::lambda, Moves::with_pedal, 4.0, 0.1, 0.01},
    Asked{Signal::knock_retard_deg, Moves::freely, 4.0, 0.0, 1.0, true},
    Asked{Signal::rail_pressure_mpa, Moves::freely, 2.0, 3.0, 0.0},
    Asked{Signal::intake_temp_c, Moves::freely, 0.0, 15.0, 0.0},
    Asked{Signal::coolant_temp_c, Moves::freely, 0.0, 15.0, 0.0},
    Asked{Signal::oil_temp_c, Moves::freely, 0.0, 15.0, 0.0},
    Asked{Signal::exhaust_temp_c, Moves::freely, 0.0, 100.0, 0.0},
    Asked{Signal::vehicle_speed_km_h, Moves::with_speed, 0.5, 12.0, 0.0},
};

constexpr double kStuckSeconds = 1.0;
constexpr double kLongStillSeconds = 4.0;  // for a channel that says nothing of itself elsewhere
constexpr double kClippedSeconds = 0.5;
constexpr double kEndOfRangeSeconds = 1.0;   // at its highest value in two pulls: there the sensor ends
constexpr double kUsualHolds = 2.5;          // a stand-still is so much longer than nine in ten others
constexpr double kSpeedMovesRpm = 500.0;     // while engine speed moved so far, what goes with it must have moved
constexpr double kCoarseShare = 0.005;       // of its value: a coarser channel may stand still three times as far
constexpr double kReversalsExpected = 10.0;  // jitter elsewhere would have turned this often in the time
constexpr double kPedalMovesPct = 50.0;      // a drive with both idle and full pedal
constexpr double kReleasedSeconds = 2.0;     // off the pedal so long no pressure stays at its highest
constexpr double kDriveSeconds = 10.0;       // and this much outside pulls
constexpr double kFineShare = 0.0025;        // of its value: steps so fine show a channel's noise
constexpr double kTogglesPerSample = 0.03;
constexpr double kGapSeconds = 0.5;
constexpr double kGapIntervals = 5.0;
constexpr double kSpikeNoise = 8.0;     // typical steps between samples
constexpr double kRefreshShort = 0.85;  // of the rate asked: a refresh rate is known to 10 %

struct Range {
    double low = INFINITY, high = -INFINITY;
    double width() const { return high >= low ? high - low : 0.0; }
};

/// All bits set in an encoding from zero: 255 of 8 bits, 1,023 of 10 and so on.
bool is_last_count(double value, double step) {
    const double count = value / step;
    return std::ranges::any_of(std::array{8, 10, 12, 16},
                               [&](int bits) { return std::abs(count - (std::exp2(bits) - 1.0)) < 0.5; });
}

Range range_of(const Series& series) {
    Range range;
    for (const double value : series.values)
        if (!std::isnan(value)) range.low = std::min(range.low, value), range.high = std::max(range.high, value);
    return range;
}

/// One channel in the pulls of a run.
class ChannelInPulls {
public:
    ChannelInPulls(const RunView& run, const Asked& asked, const Channel& channel, bool whole_drive)
        : run_(run), asked_(asked), channel_(channel), whole_drive_(whole_drive) {
        std::vector<Series> parts;
        for (const Pull& pull : run.pulls) {
            traces_.push_back(samples_within(run.log(), channel, pull.start_s, pull.end_s));
            parts.push_back(slice(run.log().series(channel), pull.start_s, pull.end_s));
        }
        renewal_ = renewal_of(parts);
        lively_ = liveliness(traces_, renewal_.resolution);
    }

    std::vector<ChannelFault> faults() {
        if (asked_.moves == Moves::as_pedal) still_though_pedal_moves(2.0 * kStuckSeconds);
        if (asked_.moves == Moves::with_pedal && whole_drive_ && never_moves()) return std::move(faults_);
        highest_ = range_of(run_.log().series(channel_)).high;
        for (std::size_t p = 0; p < traces_.size(); ++p) {
            still(p);
            gap(p);
            spikes(p);
        }
        const auto is_stuck = [](const ChannelFault& fault) { return fault.kind == Kind::stuck; };
        if (asked_.moves == Moves::with_pedal && std::ranges::none_of(faults_, is_stuck))
            still_though_pedal_moves(kLongStillSeconds);
        slow();
        coarse();
        return std::move(faults_);
    }

private:
    ChannelFault fault(Kind kind, std::optional<std::size_t> pull, double time_s, double duration_s, double value,
                       double limit) const {
        return {.kind = kind,
                .channels = {*channel_.key},
                .pull = pull,
                .time_s = time_s,
                .duration_s = duration_s,
                .value = value,
                .limit = limit};
    }

    bool never_moves() {
        const Range range = range_of(run_.log().series(channel_));
        if (range.width() > 0.0 || !(range.high >= range.low)) return false;
        const Log::Span span = run_.log().span();
        faults_.push_back(fault(Kind::stuck, {}, span.start_s, span.end_s - span.start_s, range.low, kStuckSeconds));
        faults_.back().whole_log = true;
        return true;
    }

    /// Its longest stand-still, if the pedal went from idle to full well inside it: a throttle takes a moment to
    /// follow.
    void still_though_pedal_moves(double least_seconds) {
        const Channel* pedal = run_.log().find(Signal::pedal_pct);
        const Log::Span span = run_.log().span();
        const Samples trace = samples_within(run_.log(), channel_, span.start_s, span.end_s);
        if (!pedal || trace.values.empty()) return;
        const Still longest = longest_still(trace);
        const double from = trace.times[longest.first], to = trace.times[longest.last];
        if (to - from < least_seconds) return;
        const Samples pressed = samples_within(run_.log(), *pedal, from + kStuckSeconds, to - kStuckSeconds);
        if (range_of(pressed.series()).width() < kPedalMovesPct) return;
        // At its highest value a pressure may be cut off, and bridge a gear change there.
        const auto released =
            static_cast<double>(std::ranges::count_if(pressed.values, [](double pct) { return pct < kPedalMovesPct; }));
        const bool long_released = released * typical_interval(pressed.times) >= kReleasedSeconds;
        if (trace.values[longest.first] >= highest_ && !long_released) return;
        faults_.push_back(fault(Kind::stuck, {}, from, to - from, trace.values[longest.first], kStuckSeconds));
        faults_.back().whole_log = longest.last - longest.first + 1 == trace.values.size();
    }

    double speed_moved(double from, double to) const {
        const Channel* speed = run_.log().find(Signal::engine_speed_rpm);
        return range_of(samples_within(run_.log(), *speed, from, to).series()).width();
    }

    /// Whether a stand-still of so many samples can not be: engine speed moved, or its own noise stopped.
    bool must_have_moved(double from, double to, double samples, double value) const {
        if (lively_.turns_per_sample * samples >= kReversalsExpected) return true;
        if (asked_.moves != Moves::with_speed) return false;
        const bool coarse = renewal_.resolution.value_or(0.0) > kCoarseShare * std::abs(value);
        return speed_moved(from, to) >= (coarse ? 3.0 : 1.0) * kSpeedMovesRpm;
    }

    /// Whether a stand-still at its highest value is the end of its range. A coarse channel rests on a step when the
    /// engine is steady; one of fine steps, or at the last count of a usual encoding, does not: it does so in two
    /// pulls, or its noise elsewhere in the log would have turned there.
    bool is_end_of_range(double value, double samples) const {
        const Log::Span span = run_.log().span();
        const auto step = renewal_of(run_.log().series(channel_)).resolution;
        const bool fine = step.value_or(0.0) < kFineShare * std::abs(value);
        if (!fine && !(step && is_last_count(value, *step))) return false;
        if (pulls_at_highest() > 1) return true;
        const std::vector<Samples> whole{samples_within(run_.log(), channel_, span.start_s, span.end_s)};
        return liveliness(whole, fine ? step : std::nullopt).turns_per_sample * samples >= kReversalsExpected;
    }

    /// Pulls in which it stands at the highest value it ever takes. Noise, or a steady engine, does not return to it.
    std::ptrdiff_t pulls_at_highest() const {
        return std::ranges::count_if(traces_, [&](const Samples& trace) {
            if (trace.values.empty()) return false;
            const Still longest = longest_still(trace);
            return trace.values[longest.first] >= highest_ &&
                   trace.times[longest.last] - trace.times[longest.first] >= kEndOfRangeSeconds;
        });
    }

    /// Stuck, or clipped where it stands at the highest value the channel ever takes.
    void still(std::size_t p) {
        const Samples& trace = traces_[p];
        if (asked_.moves == Moves::freely || asked_.moves == Moves::as_pedal || trace.values.size() < 5) return;
        const Still longest = longest_still(trace);
        const double from = trace.times[longest.first], to = trace.times[longest.last];
        const double value = trace.values[longest.first];
        if (to - from < std::max(kClippedSeconds, kUsualHolds * lively_.usual_hold_s)) return;
        const double samples = static_cast<double>(longest.last - longest.first);
        const bool at_top = asked_.moves == Moves::with_pedal && value >= highest_;
        if (!must_have_moved(from, to, samples, value) && !(at_top && is_end_of_range(value, samples))) return;
        // A pull that lies on the plateau as a whole tells nothing of its edges; another pull at the same height does.
        const bool part = longest.first > 0 || longest.last + 1 < trace.values.size();
        if (value >= highest_ && (part || (at_top && pulls_at_highest() > 1)))
            faults_.push_back(fault(Kind::clipped, p, from, to - from, value, kClippedSeconds));
        else if (to - from >= kStuckSeconds)
            faults_.push_back(fault(Kind::stuck, p, from, to - from, value, kStuckSeconds));
    }

    /// The longest stretch of a pull without samples.
    void gap(std::size_t p) {
        const Pull& pull = run_.pulls[p];
        const Samples& trace = traces_[p];
        if (asked_.least_hz == 0.0) return;
        const double longest_allowed = std::max(kGapSeconds, kGapIntervals * typical_interval(trace.times));
        double before = pull.start_s, from = 0.0, longest = 0.0;
        for (std::size_t i = 0; i <= trace.times.size(); ++i) {
            const double now = i < trace.times.size() ? trace.times[i] : pull.end_s;
            if (now - before > longest) from = before, longest = now - before;
            before = now;
        }
        if (longest > longest_allowed) faults_.push_back(fault(Kind::gap, p, from, longest, longest, longest_allowed));
    }

    void spikes(std::size_t p) {
        const Samples& trace = traces_[p];
        if (asked_.spike_height == 0.0 || trace.values.size() < 5) return;
        std::vector<double> steps;
        for (std::size_t i = 1; i < trace.values.size(); ++i)
            steps.push_back(std::abs(trace.values[i] - trace.values[i - 1]));
        const double least = std::max(asked_.spike_height, kSpikeNoise * median(std::move(steps)));
        for (std::size_t i = 1; i + 1 < trace.values.size(); ++i) {
            const double up = trace.values[i] - trace.values[i - 1], down = trace.values[i] - trace.values[i + 1];
            const double height = std::min(std::abs(up), std::abs(down));
            const bool alone = up * down > 0.0 && std::abs(up - down) < 0.5 * height;
            if (alone && height >= least) faults_.push_back(fault(Kind::spike, p, trace.times[i], 0.0, height, least));
        }
    }

    /// By how often the samples come, or by how often their value is renewed where that is known and less.
    void slow() {
        if (asked_.least_hz == 0.0) return;
        std::optional<ChannelFault> slowest;
        for (std::size_t p = 0; p < traces_.size(); ++p) {
            const double interval = typical_interval(traces_[p].times);
            const Pull& pull = run_.pulls[p];
            if (!(interval > 0.0) || (slowest && 1.0 / interval >= slowest->value)) continue;
            slowest = fault(Kind::slow, p, pull.start_s, pull.end_s - pull.start_s, 1.0 / interval, asked_.least_hz);
        }
        if (!slowest) return;
        bool too_slow = slowest->value < 0.99 * asked_.least_hz;
        if (!asked_.repeats && renewal_.refresh_hz && *renewal_.refresh_hz < kRefreshShort * asked_.least_hz)
            slowest->value = std::min(slowest->value, *renewal_.refresh_hz), too_slow = true;
        if (too_slow) faults_.push_back(*slowest);
    }

    /// Values that go back and forth by whole steps are rounded; those of an even slope only look so.
    bool toggles() const { return liveliness(traces_, std::nullopt).turns_per_sample >= kTogglesPerSample; }

    void coarse() {
        if (asked_.coarsest == 0.0 || !renewal_.resolution || run_.pulls.empty()) return;
        if (*renewal_.resolution <= 1.01 * asked_.coarsest || !toggles()) return;
        const Pull& pull = run_.pulls.front();
        faults_.push_back(fault(Kind::coarse, 0, pull.start_s, 0.0, *renewal_.resolution, asked_.coarsest));
    }

    const RunView& run_;
    const Asked& asked_;
    const Channel& channel_;
    bool whole_drive_;
    double highest_ = 0.0;  // it ever takes in this log
    std::vector<Samples> traces_;
    Renewal renewal_;
    Liveliness lively_;
    std::vector<ChannelFault> faults_;
};

/// The pull that a hole ended, else the one it let begin.
std::optional<std::size_t> pull_beside(const RunView& run, double from, double to) {
    for (std::size_t p = 0; p < run.pulls.size(); ++p)
        if (std::abs(run.pulls[p].end_s - from) < kGapSeconds) return p;
    for (std::size_t p = 0; p < run.pulls.size(); ++p)
        if (std::abs(run.pulls[p].start_s - to) < kGapSeconds) return p;
    return std::nullopt;
}

/// A hole that is long enough to end a pull lies in none: full pedal and a higher speed after it tell.
void add_holes_between_pulls(const RunView& run, std::vector<ChannelFault>& faults) {
    const Channel* speed = run.log().find(Signal::engine_speed_rpm);
    const Channel* pedal = run.log().find(Signal::pedal_pct);
    if (!pedal) pedal = run.log().find(Signal::throttle_pct);
    if (!speed || !pedal) return;
    const Log::Span span = run.log().span();
    const Samples turning = samples_within(run.log(), *speed, span.start_s, span.end_s);
    const std::vector<double>& times = turning.times;
    const std::vector<double> pressed = held_along(run.log().series(*pedal), times, kGapSeconds);
    const double longest_allowed = std::max(kGapSeconds, kGapIntervals * typical_interval(times));
    for (std::size_t i = 1; i < times.size(); ++i) {
        const double from = times[i - 1], to = times[i];
        const bool full = pressed[i - 1] >= kFullPedalPct && pressed[i] >= kFullPedalPct;
        const bool faster = turning.values[i] > turning.values[i - 1];
        const auto within = [&](const Pull& pull) { return pull.start_s <= from && to <= pull.end_s; };
        if (to - from <= longest_allowed || !full || !faster || std::ranges::any_of(run.pulls, within)) continue;
        faults.push_back({.kind = Kind::gap,
                          .channels = {*speed->key},
                          .pull = pull_beside(run, from, to),
                          .time_s = from,
                          .duration_s = to - from,
                          .value = to - from,
                          .limit = longest_allowed});
    }
}

}  // namespace

bool is_whole_drive(const RunView& run) {
    const Channel* pedal = run.log().find(Signal::pedal_pct);
    double pulled = 0.0;
    for (const Pull& pull : run.pulls) pulled += pull.end_s - pull.start_s;
    const Log::Span span = run.log().span();
    return pedal && range_of(run.log().series(*pedal)).width() >= kPedalMovesPct &&
           span.end_s - span.start_s >= pulled + kDriveSeconds;
}

std::vector<ChannelFault> channel_faults(const RunView& run) {
    const bool whole_drive = is_whole_drive(run);
    std::vector<ChannelFault> faults;
    for (const Asked& asked : kAsked) {
        if (asked.signal == Signal::boost_pressure_kpa && !run.job->engine.turbocharged()) continue;
        for (int part = 0; part <= info(asked.signal).parts; ++part)
            if (const Channel* channel = run.find(ChannelKey{asked.signal, part}))
                for (ChannelFault& fault : ChannelInPulls(run, asked, *channel, whole_drive).faults())
                    faults.push_back(std::move(fault));
    }
    add_holes_between_pulls(run, faults);
    return merge_faults(run.log(), std::move(faults));
}

double least_rate_hz(Signal signal) {
    const auto asked = std::ranges::find(kAsked, signal, &Asked::signal);
    return asked == kAsked.end() ? 0.0 : asked->least_hz;
}

}  // namespace revwright
