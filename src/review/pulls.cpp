#include "review/pulls.h"

#include <algorithm>
#include <cmath>

#include "review/pull_pieces.h"
#include "review/pull_track.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kGapSeconds = 2.0;            // a hole in the log this long ends a stretch
constexpr double kInterruptionSeconds = 2.0;   // pedal back within this time: the same acceleration goes on
constexpr double kLooksLikePullSeconds = 0.4;  // shorter stabs at the pedal are not listed
constexpr double kLooksLikePullWidthRpm = 80.0;
constexpr double kLimiterNearRpm = 150.0;  // below the engine's highest speed: the speed limiter's work

struct Stretch {
    std::size_t first, last;
};

/// Runs of samples with low <= pedal < high and no hole in the log.
std::vector<Stretch> stretches(const PullTrack& track, double low, double high) {
    const double gap = std::max(kGapSeconds, 3.0 * typical_interval(track.times));
    std::vector<Stretch> found;
    bool inside = false;
    for (std::size_t i = 0; i < track.size(); ++i) {
        const bool holds = track.pedal[i] >= low && track.pedal[i] < high;
        const bool hole = i > 0 && track.times[i] - track.times[i - 1] > gap;
        if (holds && inside && !hole)
            found.back().last = i;
        else if (holds)
            found.push_back({i, i});
        inside = holds;
    }
    return found;
}

/// Stretches of one engine speed, each as long as it goes on, from the first sample that begins one.
std::vector<Stretch> held_within(const PullTrack& track, const Stretch& stretch) {
    std::vector<Stretch> found;
    for (std::size_t first = stretch.first; first < stretch.last;) {
        double low = track.speed[first], high = low;
        std::size_t last = first;
        while (last < stretch.last) {
            const double next = track.speed[last + 1];
            const double width = std::max(high, next) - std::min(low, next);
            if (width > std::max(2.0 * kHoldRpm, 2.0 * kHoldShare * next)) break;
            low = std::min(low, next);
            high = std::max(high, next);
            ++last;
        }
        if (track.times[last] - track.times[first] < kLeastHoldSeconds) {
            ++first;
            continue;
        }
        found.push_back({first, last});
        first = last + 1;
    }
    return found;
}

class Searcher {
public:
    Searcher(const PullTrack& track, const JobSheet& job, std::size_t log, RunPlace place)
        : track_(track), log_(log), holds_(place == RunPlace::brake_dyno) {
        if (job.engine.max_speed_rpm > 0.0) limiter_rpm_ = job.engine.max_speed_rpm - kLimiterNearRpm;
    }

    PullSearch run() {
        const std::vector<PullPiece> full = full_pedal_pieces();
        for (std::size_t i = 0; i < full.size(); ++i) judge(full, i);
        for (const Stretch& stretch : stretches(track_, kPartPedalPct, kFullPedalPct))
            for (const PullPiece& piece : pieces_of(track_, stretch.first, stretch.last, limiter_rpm_))
                if (is_pull(piece)) exclude(piece.first, piece.last, ExclusionReason::part_pedal);
        const auto by_time = [](const auto& a, const auto& b) { return a.start_s < b.start_s; };
        std::ranges::stable_sort(found_.excluded, by_time);
        std::ranges::stable_sort(found_.pulls, by_time);
        for (std::size_t i = 0; i < found_.pulls.size(); ++i) found_.pulls[i].index = i;
        return std::move(found_);
    }

private:
    /// Full pedal, cut at what was held on a brake dynamometer.
    std::vector<Stretch> full_pedal() {
        const std::vector<Stretch> whole = stretches(track_, kFullPedalPct, INFINITY);
        if (!holds_) return whole;
        std::vector<Stretch> between;
        for (const Stretch& stretch : whole) {
            std::size_t from = stretch.first;
            for (const Stretch& hold : held_within(track_, stretch)) {
                if (hold.first > from) between.push_back({from, hold.first});
                accept_hold(hold);
                from = hold.last;
            }
            if (stretch.last > from) between.push_back({from, stretch.last});
        }
        return between;
    }

    /// All full-pedal pieces in order, linked by cut_by where the acceleration goes on after an interruption.
    std::vector<PullPiece> full_pedal_pieces() {
        std::vector<PullPiece> all;
        for (const Stretch& stretch : full_pedal()) {
            std::vector<PullPiece> pieces = pieces_of(track_, stretch.first, stretch.last, limiter_rpm_);
            if (!holds_ && !all.empty() &&
                track_.times[stretch.first] - track_.times[all.back().last] <= kInterruptionSeconds) {
                const int before = all.back().gear, after = pieces.front().gear;
                const bool shifted = before != 0 && after != 0 && before != after;
                all.back().cut_by = shifted ? ExclusionReason::shift : ExclusionReason::lift_off;
            }
            all.insert(all.end(), pieces.begin(), pieces.end());
        }
        return all;
    }

    double seconds(const PullPiece& piece) const { return track_.times[piece.last] - track_.times[piece.first]; }
    double width_rpm(const PullPiece& piece) const {
        const auto from = track_.speed.begin();
        const auto highest = std::max_element(from + static_cast<std::ptrdiff_t>(piece.first),
                                              from + static_cast<std::ptrdiff_t>(piece.last) + 1);
        return *highest - track_.speed[piece.first];
    }
    bool in_gear(const PullPiece& piece) const { return !track_.gear_known || piece.gear != 0; }
    bool is_pull(const PullPiece& piece) const {
        return in_gear(piece) && seconds(piece) >= kLeastPullSeconds && width_rpm(piece) >= kLeastPullWidthRpm;
    }
    bool looks_like_pull(const PullPiece& piece) const {
        return seconds(piece) >= kLooksLikePullSeconds && width_rpm(piece) >= kLooksLikePullWidthRpm;
    }

    void judge(const std::vector<PullPiece>& pieces, std::size_t i) {
        const PullPiece& piece = pieces[i];
        const bool linked_left = i > 0 && pieces[i - 1].cut_by.has_value();
        if (is_pull(piece))
            accept(piece);
        else if (!holds_ && !piece.cut_by && !linked_left && looks_like_pull(piece))
            exclude(piece.first, piece.last, ExclusionReason::too_short);
        if (piece.cut_by && i + 1 < pieces.size()) exclude_cut(piece, pieces[i + 1]);
    }

    /// The interruption itself, and what it leaves of either side that is no pull.
    void exclude_cut(const PullPiece& left, const PullPiece& right) {
        const bool left_counts = is_pull(left) || looks_like_pull(left);
        const bool right_counts = is_pull(right) || looks_like_pull(right);
        if (!left_counts && !right_counts) return;
        const std::size_t from = is_pull(left) ? left.last : left.first;
        const std::size_t to = is_pull(right) || right.cut_by ? right.first : right.last;
        exclude(from, to, *left.cut_by);
    }

    void accept(const PullPiece& piece) {
        if (cold(piece)) return exclude(piece.first, piece.last, ExclusionReason::cold_oil);
        Pull pull{.index = found_.pulls.size(), .log = log_};
        pull.start_s = track_.times[piece.first];
        pull.end_s = track_.times[piece.last];
        if (piece.gear != 0) pull.gear = piece.gear;
        pull.speed_from_rpm = track_.speed[piece.first];
        pull.speed_to_rpm = pull.speed_from_rpm + width_rpm(piece);
        found_.pulls.push_back(pull);
    }

    void accept_hold(const Stretch& hold) {
        if (cold({hold.first, hold.last})) return exclude(hold.first, hold.last, ExclusionReason::cold_oil);
        Pull pull{.index = 0, .log = log_, .kind = PullKind::hold};
        pull.start_s = track_.times[hold.first];
        pull.end_s = track_.times[hold.last];
        if (track_.gear[hold.first] != 0) pull.gear = track_.gear[hold.first];
        const auto at = [&](std::size_t i) { return track_.speed.begin() + static_cast<std::ptrdiff_t>(i); };
        const auto [low, high] = std::minmax_element(at(hold.first), at(hold.last) + 1);
        pull.speed_from_rpm = *low;
        pull.speed_to_rpm = *high;
        found_.pulls.push_back(pull);
    }

    bool cold(const PullPiece& piece) const {
        for (std::size_t i = piece.first; i <= piece.last; ++i)
            if (!std::isnan(track_.oil[i])) return track_.oil[i] < kColdOilC;
        return false;
    }

    void exclude(std::size_t from, std::size_t to, ExclusionReason reason) {
        found_.excluded.push_back({log_, track_.times[from], track_.times[to], reason});
    }

    const PullTrack& track_;
    std::size_t log_;
    bool holds_ = false;
    double limiter_rpm_ = 0.0;
    PullSearch found_;
};

}  // namespace

PullSearch find_pulls(const Log& log, const JobSheet& job, std::size_t log_index, RunPlace place) {
    const PullTrack track = pull_track(log, job.car, place == RunPlace::road);
    return Searcher(track, job, log_index, place).run();
}

}  // namespace revwright
