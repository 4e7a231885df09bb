#include "recovery/score.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

#include "review/checks.h"

namespace revwright {
namespace {

constexpr double kNearRpm = 400.0;
constexpr double kNearSeconds = 0.2;

double percent(int part, int whole) { return whole == 0 ? 100.0 : 100.0 * part / whole; }

bool contains(const std::vector<std::string>& names, const std::string& name) {
    return std::ranges::count(names, name) > 0;
}

bool shows(const Finding& finding, const PlantedTruth& fault) {
    if (finding.severity < fault.at_least || !contains(fault.checks, finding.check)) return false;
    const bool has_place = fault.engine_speed_rpm && finding.engine_speed_rpm > 0.0;
    return !has_place || std::abs(finding.engine_speed_rpm - *fault.engine_speed_rpm) <= kNearRpm;
}

/// The nearest finding of the fault's checks, to say how it was missed.
std::string what_was_said(const ScoreCase& one) {
    const Finding* nearest = nullptr;
    for (const Finding& finding : one.review.findings)
        if (contains(one.fault->checks, finding.check) && (!nearest || finding.severity > nearest->severity))
            nearest = &finding;
    if (nearest) return fmt::format("{} said {}: {}", nearest->check, to_string(nearest->severity), nearest->text);
    for (const NotChecked& not_checked : one.review.not_checked)
        if (contains(one.fault->checks, not_checked.check))
            return fmt::format("{} was not checked: {}", not_checked.check, not_checked.text);
    return "no check of it spoke";
}

void score_fault(const ScoreCase& one, Score& score) {
    const PlantedTruth& fault = *one.fault;
    ++score.planted;
    const bool found = std::ranges::any_of(one.review.findings, [&](const Finding& f) { return shows(f, fault); });
    score.found += found ? 1 : 0;
    for (FaultTally* tally : {&score.by_fault[fault.name], &score.by_logger[one.logger], &score.by_car[one.car]}) {
        ++tally->planted;
        tally->found += found ? 1 : 0;
    }
    if (found) return;
    const std::string place = fault.engine_speed_rpm ? fmt::format(" at {:.0f} rpm", *fault.engine_speed_rpm) : "";
    score.misses.push_back(fmt::format("missed: {}{}; {}", one.name(), place, what_was_said(one)));
}

bool near(const Pull& found, const DrivenPull& driven) {
    return std::abs(found.start_s - driven.start_s) <= kNearSeconds &&
           std::abs(found.end_s - driven.end_s) <= kNearSeconds;
}

/// A gear that the log does not tell can not be asked for.
bool same_pull(const Pull& found, const DrivenPull& driven) {
    return near(found, driven) && (!found.gear || *found.gear == driven.gear);
}

bool overlaps(const Pull& found, const DrivenPull& driven) {
    const double common = std::min(found.end_s, driven.end_s) - std::max(found.start_s, driven.start_s);
    return common > 0.5 * (driven.end_s - driven.start_s);
}

void score_bounds(const ScoreCase& one, const DrivenPull& driven, Score& score) {
    for (const Pull& found : one.review.pulls) {
        if (!overlaps(found, driven)) continue;
        score.bounds += 2;
        score.bounds_near += std::abs(found.start_s - driven.start_s) <= kNearSeconds ? 1 : 0;
        score.bounds_near += std::abs(found.end_s - driven.end_s) <= kNearSeconds ? 1 : 0;
        return;
    }
}

std::string said_instead(const ScoreCase& one, const DrivenPull& driven) {
    for (const Pull& found : one.review.pulls)
        if (overlaps(found, driven))
            return fmt::format("told from {:.2f} to {:.2f} s in gear {}", found.start_s, found.end_s,
                               found.gear.value_or(0));
    return "not told";
}

void score_pulls(const ScoreCase& one, Score& score) {
    const std::vector<Pull>& reported = one.review.pulls;
    score.pulls_reported += static_cast<int>(reported.size());
    for (const Pull& found : reported)
        score.pulls_right +=
            std::ranges::any_of(one.pulls, [&](const DrivenPull& driven) { return same_pull(found, driven); }) ? 1 : 0;
    for (const DrivenPull& driven : one.pulls) {
        ++score.pulls_driven;
        score_bounds(one, driven, score);
        if (std::ranges::any_of(reported, [&](const Pull& found) { return same_pull(found, driven); }))
            ++score.pulls_found;
        else
            score.misses.push_back(fmt::format("pull: {}: from {:.2f} to {:.2f} s in gear {}, {}", one.name(),
                                               driven.start_s, driven.end_s, driven.gear, said_instead(one, driven)));
    }
    for (const Pull& found : reported)
        if (std::ranges::none_of(one.pulls, [&](const DrivenPull& driven) { return overlaps(found, driven); }))
            score.misses.push_back(fmt::format("pull: {}: told from {:.2f} to {:.2f} s, none was driven there",
                                               one.name(), found.start_s, found.end_s));
}

void score_stretches(const ScoreCase& one, Score& score) {
    for (const DrivenStretch& driven : one.stretches) {
        ++score.stretches_planted;
        const auto refuses = [&](const Excluded& found) {
            return found.reason == driven.reason && found.start_s < driven.end_s && found.end_s > driven.start_s;
        };
        if (std::ranges::any_of(one.review.excluded, refuses)) {
            ++score.stretches_refused;
            continue;
        }
        score.misses.push_back(fmt::format("stretch: {}: {} from {:.2f} to {:.2f} s not refused", one.name(),
                                           to_string(driven.reason), driven.start_s, driven.end_s));
    }
}

bool explained(const ScoreCase& one, const Finding& finding) {
    if (one.knocked_by_chance && finding.check.starts_with("knock-")) return true;
    // A stretch driven to be refused is found as what it is, outside any pull.
    const auto drove = [&](ExclusionReason reason) {
        return !finding.pull && std::ranges::count(one.stretches, reason, &DrivenStretch::reason) > 0;
    };
    if (finding.check == "gear-slip" && drove(ExclusionReason::clutch_slip)) return true;
    if (finding.check == "torque-intervention" && drove(ExclusionReason::intervention)) return true;
    return one.fault && (contains(one.fault->checks, finding.check) || contains(one.fault->may_raise, finding.check));
}

void score_accusations(const ScoreCase& one, Score& score) {
    bool accused = false;
    std::set<std::string> watched, wrong;
    for (const Finding& finding : one.review.findings) {
        if (finding.severity == Severity::clear || explained(one, finding)) continue;
        if (finding.severity == Severity::watch) {
            watched.insert(finding.check);
            continue;
        }
        accused = true;
        wrong.insert(finding.check);
        score.misses.push_back(fmt::format("accused: {}: {} {}: {}", one.name(), finding.check,
                                           to_string(finding.severity), finding.text));
    }
    const int alarms = accused ? 1 : 0;
    score.by_logger[one.logger].false_alarms += alarms;
    score.by_car[one.car].false_alarms += alarms;
    score.by_fault[one.fault ? one.fault->name : "(clean)"].false_alarms += alarms;
    if (one.fault) return;
    ++score.clean_logs;
    score.clean_logs_accused += alarms;
    for (const std::string& check : watched) ++score.by_check[check].watched;
    for (const std::string& check : wrong) ++score.by_check[check].accused;
}

}  // namespace

std::string ScoreCase::name() const {
    return fmt::format("{} seed {}, {}, {}, {}", generator, seed, car, logger, fault ? fault->name : "clean");
}

double Score::found_pct() const { return percent(found, planted); }
double Score::pulls_found_pct() const { return percent(pulls_found, pulls_driven); }
double Score::pulls_right_pct() const { return percent(pulls_right, pulls_reported); }
double Score::bounds_near_pct() const { return percent(bounds_near, bounds); }
double Score::stretches_refused_pct() const { return percent(stretches_refused, stretches_planted); }
double Score::clean_accused_pct() const { return clean_logs == 0 ? 0.0 : percent(clean_logs_accused, clean_logs); }

bool judged(const PlantedTruth& fault) {
    return std::ranges::any_of(
        all_checks(), [&](const Check& check) { return std::ranges::count(fault.checks, std::string(check.id)) > 0; });
}

void add(Score& score, const ScoreCase& one) {
    ++score.logs;
    if (one.fault && judged(*one.fault))
        score_fault(one, score);
    else if (one.fault)
        ++score.unjudged[one.fault->name];
    score_pulls(one, score);
    score_stretches(one, score);
    score_accusations(one, score);
}

}  // namespace revwright
