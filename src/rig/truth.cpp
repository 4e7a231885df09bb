#include "rig/truth.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>

namespace revwright::rig {
namespace {

/// A run of samples that all have the same label.
struct Stretch {
    std::size_t first = 0, last = 0;
    int gear = 0;
    std::optional<ExclusionReason> flag;  // nothing: full pedal as it should be
    bool of_driver = false;               // lift or shift between two halves of full pedal
};

struct Label {
    bool any = false;
    std::optional<ExclusionReason> flag;
    int gear = 0;
    friend bool operator==(const Label&, const Label&) = default;
};

Label label_of(const Moment& m) {
    const bool full = m.pedal_pct >= 95.0;
    if (m.mark == Mark::flat_shift && m.clutch_open) return {true, ExclusionReason::shift, 0};
    if (m.mark == Mark::lift && !full) return {true, ExclusionReason::lift_off, 0};
    if (m.mark == Mark::part && m.pedal_pct >= 40.0) return {true, ExclusionReason::part_pedal, 0};
    if (!full || m.clutch_open) return {};
    if (m.slip == Slip::wheel) return {true, ExclusionReason::wheel_slip, m.gear};
    if (m.slip == Slip::clutch) return {true, ExclusionReason::clutch_slip, m.gear};
    if (m.intervention) return {true, ExclusionReason::intervention, m.gear};
    return {true, std::nullopt, m.gear};
}

std::vector<Stretch> stretches_of(const std::vector<Moment>& moments) {
    std::vector<Stretch> found;
    Label before;
    for (std::size_t i = 0; i < moments.size(); ++i) {
        const Label now = label_of(moments[i]);
        if (now.any && now == before)
            found.back().last = i;
        else if (now.any)
            found.push_back({i, i, now.gear, now.flag, false});
        before = now;
    }
    return found;
}

/// Full pedal counts from where engine speed begins to rise under it.
void trim_start(Stretch& s, const std::vector<Moment>& moments) {
    while (s.first < s.last && moments[s.first + 1].rpm <= moments[s.first].rpm + 0.2) ++s.first;
}

bool long_and_wide(const Stretch& s, const std::vector<Moment>& m) {
    return m[s.last].time_s - m[s.first].time_s >= kPullSeconds && m[s.last].rpm - m[s.first].rpm >= kPullSpan;
}

TruthPull pull_from(const Stretch& s, const std::vector<Moment>& moments) {
    TruthPull pull{.start_s = moments[s.first].time_s,
                   .end_s = moments[s.last].time_s,
                   .gear = s.gear,
                   .speed_from_rpm = moments[s.first].rpm,
                   .speed_to_rpm = moments[s.last].rpm};
    for (std::size_t i = s.first; i <= s.last; ++i) {
        const Moment& m = moments[i];
        const double power_kw = m.torque_nm * m.rpm * std::numbers::pi / 30.0 * 1e-3;
        if (m.torque_nm > pull.peak_torque_nm) pull.peak_torque_nm = m.torque_nm, pull.peak_torque_rpm = m.rpm;
        if (power_kw > pull.peak_power_kw) pull.peak_power_kw = power_kw, pull.peak_power_rpm = m.rpm;
        pull.settled_exhaust_temp_c = std::max(pull.settled_exhaust_temp_c, m.exhaust_settled_c);
    }
    return pull;
}

/// A piece too short for a pull that touches a flagged stretch is part of that stretch's story.
void absorb_short_pieces(std::vector<Stretch>& all, const std::vector<Moment>& moments) {
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (all[i].flag || long_and_wide(all[i], moments)) continue;
        const bool joins_next = i + 1 < all.size() && all[i + 1].flag && all[i + 1].first <= all[i].last + 2;
        const bool joins_last = i > 0 && all[i - 1].flag && all[i].first <= all[i - 1].last + 2;
        if (joins_next)
            all[i + 1].first = all[i].first;
        else if (joins_last)
            all[i - 1].last = all[i].last;
        if (joins_next || joins_last) all.erase(all.begin() + static_cast<std::ptrdiff_t>(i--));
    }
}

}  // namespace

void label_pulls(const std::vector<Moment>& moments, Truth& truth) {
    std::vector<Stretch> all = stretches_of(moments);
    for (Stretch& s : all)
        if (!s.flag) trim_start(s, moments);
    absorb_short_pieces(all, moments);
    for (const Stretch& s : all) {
        std::optional<ExclusionReason> reason = s.flag;
        if (!reason && moments[s.first].oil_c < kWarmOil) reason = ExclusionReason::cold_oil;
        if (!reason && !long_and_wide(s, moments)) reason = ExclusionReason::too_short;
        if (reason)
            truth.excluded.push_back({moments[s.first].time_s, moments[s.last].time_s, *reason});
        else
            truth.pulls.push_back(pull_from(s, moments));
    }
}

void draw_curves(const std::vector<Moment>& moments, Truth& truth) {
    struct Sum {
        double n = 0.0, torque = 0.0;
        BorderlinePoint point;
    };
    std::map<int, Sum> fine, coarse;
    const auto in_pull = [&](double t) {
        return std::ranges::any_of(truth.pulls, [&](const TruthPull& p) { return t >= p.start_s && t <= p.end_s; });
    };
    for (const Moment& m : moments) {
        if (m.pedal_pct < 95.0 || !in_pull(m.time_s)) continue;
        Sum& torque = fine[static_cast<int>(std::lround(m.rpm / 100.0))];
        torque.n += 1.0;
        torque.torque += m.torque_nm;
        Sum& knock = coarse[static_cast<int>(std::lround(m.rpm / 250.0))];
        knock.n += 1.0;
        knock.point.charge_pct += m.charge_measured_pct;
        knock.point.manifold_kpa += m.manifold_kpa;
        knock.point.spark_base_deg += m.spark_base_deg;
        knock.point.borderline_deg += m.borderline_deg;
        knock.point.best_torque_deg += m.best_torque_deg;
    }
    for (const auto& [bin, sum] : fine) truth.torque_curve.push_back({100.0 * bin, sum.torque / sum.n});
    for (const auto& [bin, sum] : coarse)
        truth.borderline.push_back({250.0 * bin, sum.point.charge_pct / sum.n, sum.point.manifold_kpa / sum.n,
                                    sum.point.spark_base_deg / sum.n, sum.point.borderline_deg / sum.n,
                                    sum.point.best_torque_deg / sum.n});
}

}  // namespace revwright::rig
