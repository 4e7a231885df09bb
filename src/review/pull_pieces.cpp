#include "review/pull_pieces.h"

#include <algorithm>
#include <cmath>

#include "review/gear.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kLeastSlipSeconds = 0.2;     // shorter departures from the ratio are noise
constexpr double kInputTolerance = 0.03;      // engine against gearbox input
constexpr double kWheelTolerance = 0.10;      // wheels against satellite speed, which lags
constexpr double kFallShare = 0.03;           // a fall of engine speed that ends a piece ...
constexpr double kFallRpm = 150.0;            // ... and at least this much
constexpr double kShiftFallShare = 0.12;      // a fall this deep is a shift where the gear is not known
constexpr double kRiseSeconds = 0.4;          // over which the speed must rise ...
constexpr double kRiseRpmPerSecond = 40.0;    // ... this fast to have begun
constexpr double kRequestFall = 0.20;         // share of the torque request taken back by an intervention
constexpr double kRequestRecovery = 0.10;     // and given back but for this share
constexpr double kInterventionSeconds = 1.5;  // at most; a longer one is a limiter, and that is a pull
constexpr double kLowestSlipGear = 2;         // wheels spin in these gears, clutches slip in the higher ones

constexpr double kClutchSeconds = 0.4;      // in a shift the clutch opens so long before the speed falls
constexpr double kCoastingShare = 0.3;      // of the usual climb: the clutch is open
constexpr double kStillShare = 0.1;         // of that rise: not begun yet
constexpr double kSlipBegins = 0.02;        // once slip is found, it is followed back and on to here ...
constexpr double kSlipFollowSeconds = 1.0;  // ... at most so far

enum class Mesh { in_gear, no_gear, wheel_slip, clutch_slip };

Mesh mesh_at(const PullTrack& track, std::size_t i) {
    if (std::abs(track.input[i]) > kInputTolerance) return Mesh::clutch_slip;
    if (track.wheels[i] > kWheelTolerance) return Mesh::wheel_slip;
    if (!track.gear_known) return Mesh::in_gear;
    if (std::abs(track.slip[i]) > kGearTolerance || track.gear[i] == 0) return Mesh::no_gear;
    return Mesh::in_gear;
}

struct Run {
    std::size_t first, last;
    Mesh mesh;
    int gear;
};

std::vector<Run> runs_of(const PullTrack& track, std::size_t first, std::size_t last) {
    std::vector<Run> runs;
    for (std::size_t i = first; i <= last; ++i) {
        const Mesh mesh = mesh_at(track, i);
        const int gear = mesh == Mesh::in_gear ? track.gear[i] : 0;
        if (!runs.empty() && runs.back().mesh == mesh && runs.back().gear == gear)
            runs.back().last = i;
        else
            runs.push_back({i, i, mesh, gear});
    }
    return runs;
}

/// Joins what a moment of noise cut in two: a short run between two of the same gear.
std::vector<Run> without_noise(const PullTrack& track, const std::vector<Run>& runs) {
    std::vector<Run> kept;
    for (const Run& run : runs) {
        const bool gear_again = kept.size() >= 2 && run.mesh == Mesh::in_gear &&
                                kept[kept.size() - 2].mesh == Mesh::in_gear && kept[kept.size() - 2].gear == run.gear;
        if (gear_again && track.times[run.first] - track.times[kept.back().first] < kLeastSlipSeconds) {
            kept.pop_back();
            kept.back().last = run.last;
        } else {
            kept.push_back(run);
        }
    }
    return kept;
}

/// Why the stretch between two pieces is in no gear.
ExclusionReason reason_between(const Run& lost, int gear_before, int gear_after) {
    if (gear_before != 0 && gear_after != 0 && gear_before != gear_after) return ExclusionReason::shift;
    if (lost.mesh == Mesh::wheel_slip) return ExclusionReason::wheel_slip;
    if (lost.mesh == Mesh::clutch_slip) return ExclusionReason::clutch_slip;
    const int gear = gear_before != 0 ? gear_before : gear_after;
    return gear <= kLowestSlipGear && gear != 0 ? ExclusionReason::wheel_slip : ExclusionReason::clutch_slip;
}

std::vector<PullPiece> in_one_gear(const PullTrack& track, std::size_t first, std::size_t last) {
    const std::vector<Run> runs = without_noise(track, runs_of(track, first, last));
    std::vector<PullPiece> pieces;
    const Run* lost = nullptr;
    for (const Run& run : runs) {
        if (run.mesh != Mesh::in_gear) {
            lost = &run;
            continue;
        }
        if (!pieces.empty())
            pieces.back().cut_by = lost ? reason_between(*lost, pieces.back().gear, run.gear) : ExclusionReason::shift;
        else if (lost)
            pieces.push_back({lost->first, lost->last, 0, reason_between(*lost, 0, run.gear)});
        pieces.push_back({run.first, run.last, run.gear});
        lost = nullptr;
    }
    if (lost) {
        if (!pieces.empty()) pieces.back().cut_by = reason_between(*lost, pieces.back().gear, 0);
        pieces.push_back({lost->first, lost->last, 0});
    }
    return pieces;
}

bool is_slip(const std::optional<ExclusionReason>& reason) {
    return reason == ExclusionReason::wheel_slip || reason == ExclusionReason::clutch_slip;
}

/// Slip is certain only once it is large; the pieces around it end and begin where it began and ended.
void follow_slip(const PullTrack& track, std::vector<PullPiece>& pieces) {
    const auto slipping = [&](std::size_t i) { return std::abs(track.slip[i]) > kSlipBegins; };
    for (std::size_t p = 0; p + 1 < pieces.size(); ++p) {
        if (!is_slip(pieces[p].cut_by)) continue;
        PullPiece &left = pieces[p], &right = pieces[p + 1];
        const double from = track.times[left.last] - kSlipFollowSeconds;
        const double to = track.times[right.first] + kSlipFollowSeconds;
        while (left.last > left.first && track.times[left.last] > from && slipping(left.last)) --left.last;
        while (right.first < right.last && track.times[right.first] < to && slipping(right.first)) ++right.first;
    }
}

/// Where a flare began: back from its peak while the speed climbs much faster than the piece does on the whole.
std::size_t flare_start(const PullTrack& track, std::size_t first, std::size_t peak) {
    const double usual = (track.speed[peak] - track.speed[first]) / (track.times[peak] - track.times[first]);
    std::size_t i = peak;
    while (i > first + 1 && track.speed[i] - track.speed[i - 1] > 2.0 * usual * (track.times[i] - track.times[i - 1]))
        --i;
    return i;
}

/// Cuts a piece where engine speed falls though gear and pedal stay.
void cut_at_falls(const PullTrack& track, PullPiece piece, double limiter_rpm, std::vector<PullPiece>& into) {
    std::size_t peak = piece.first;
    for (std::size_t i = piece.first; i <= piece.last; ++i) {
        if (track.speed[i] > track.speed[peak]) peak = i;
        const double fall = track.speed[peak] - track.speed[i];
        if (fall < std::max(kFallRpm, kFallShare * track.speed[peak])) continue;
        if (peak == piece.first) {  // still slowing down: the rise has not begun
            piece.first = peak = i;
            continue;
        }
        std::size_t bottom = i;
        while (bottom < piece.last && track.speed[bottom + 1] <= track.speed[bottom]) ++bottom;
        const bool limiter = limiter_rpm > 0.0 && track.speed[peak] >= limiter_rpm;
        const bool shift = track.speed[bottom] < (1.0 - kShiftFallShare) * track.speed[peak];
        PullPiece before{piece.first, limiter || shift ? peak : flare_start(track, piece.first, peak), piece.gear};
        before.cut_by = limiter ? piece.cut_by : shift ? ExclusionReason::shift : ExclusionReason::wheel_slip;
        into.push_back(before);
        if (limiter) return;
        piece.first = peak = i = bottom;
    }
    into.push_back(piece);
}

struct Dip {
    std::size_t first, last;
};

/// A short taking back of the torque request that is given back: traction, stability or gearbox control at work.
std::optional<Dip> intervention_in(const PullTrack& track, std::size_t first, std::size_t last) {
    double before = 0.0;
    std::size_t began = 0;
    bool inside = false;
    for (std::size_t i = first; i <= last; ++i) {
        const double request = track.request[i];
        if (std::isnan(request)) continue;
        if (!inside) {
            if (before > 0.0 && request < (1.0 - kRequestFall) * before)
                inside = true, began = i;
            else
                before = request;
            continue;
        }
        const double length = track.times[i] - track.times[began];
        if (length > kInterventionSeconds) return std::nullopt;
        if (request < (1.0 - kRequestRecovery) * before) continue;
        if (length >= kLeastSlipSeconds) return Dip{began, i};
        inside = false;
        before = request;
    }
    return std::nullopt;
}

void cut_at_interventions(const PullTrack& track, PullPiece piece, std::vector<PullPiece>& into) {
    while (const auto dip = intervention_in(track, piece.first, piece.last)) {
        if (dip->first > piece.first)
            into.push_back({piece.first, dip->first - 1, piece.gear, ExclusionReason::intervention});
        piece.first = dip->last;
    }
    into.push_back(piece);
}

/// Moves the start to where engine speed begins to rise.
void start_at_the_rise(const PullTrack& track, PullPiece& piece) {
    std::size_t ahead = piece.first;
    for (; piece.first < piece.last; ++piece.first) {
        while (ahead < piece.last && track.times[ahead] - track.times[piece.first] < kRiseSeconds) ++ahead;
        const double span = track.times[ahead] - track.times[piece.first];
        const double rise = track.speed[ahead] - track.speed[piece.first];
        if (rise < kRiseRpmPerSecond * span) continue;
        // The window looks ahead, so the rise may begin late in it; after a shift the speed still falls into it.
        const auto at = [&](std::size_t i) { return track.speed.begin() + static_cast<std::ptrdiff_t>(i); };
        const double lowest = *std::min_element(at(piece.first), at(ahead) + 1);
        const double still = lowest + kStillShare * (track.speed[ahead] - lowest);
        std::size_t begin = ahead;
        while (begin > piece.first && track.speed[begin] > still) --begin;
        piece.first = begin;
        return;
    }
}

/// A shift under full pedal begins where the clutch opens: engine speed climbs no more, and falls only later.
void end_at_the_clutch(const PullTrack& track, PullPiece& piece) {
    if (piece.cut_by != ExclusionReason::shift || piece.last == piece.first) return;
    const auto slope = [&](std::size_t a, std::size_t b) {
        return (track.speed[b] - track.speed[a]) / (track.times[b] - track.times[a]);
    };
    const double usual = slope(piece.first, piece.last), end = track.times[piece.last];
    const auto coasts = [&](std::size_t i) { return slope(i - 1, i) < kCoastingShare * usual; };
    while (piece.last > piece.first && end - track.times[piece.last] < kClutchSeconds && coasts(piece.last))
        --piece.last;
}

}  // namespace

std::vector<PullPiece> pieces_of(const PullTrack& track, std::size_t first, std::size_t last, double limiter_rpm) {
    std::vector<PullPiece> steady, whole;
    std::vector<PullPiece> meshed = in_one_gear(track, first, last);
    follow_slip(track, meshed);
    for (const PullPiece& piece : meshed) cut_at_falls(track, piece, limiter_rpm, steady);
    // A cut inside a piece must not lose what ended the piece itself; cut_at_falls keeps it on the last part.
    for (const PullPiece& piece : steady) cut_at_interventions(track, piece, whole);
    for (PullPiece& piece : whole) {
        start_at_the_rise(track, piece);
        end_at_the_clutch(track, piece);
    }
    return whole;
}

}  // namespace revwright
