#include "power/power_report.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "power/coastdown_estimate.h"
#include "power/combination.h"
#include "power/correction_rule.h"
#include "power/dyno_estimate.h"
#include "power/power_curve.h"
#include "power/pull_sets.h"
#include "power/remedies.h"
#include "power/road_estimate.h"
#include "power/set_difference.h"
#include "power/uncertainty_words.h"
#include "power/witness_readings.h"
#include "review/places.h"

namespace revwright {
namespace {

/// Without the logs that were driven for coasting alone: they are of no image that made power. Where there are no
/// others they stay, and are refused with the reason.
std::vector<RunView> driven_for_power(std::span<const RunView> runs, const CoastdownEstimate& coasting) {
    const auto for_coasting = [&](const RunView& run) {
        return run.pulls.empty() && coasting.told &&
               std::ranges::count(coasting.told->stretches, run.index, &PowerCoast::log) > 0;
    };
    std::vector<RunView> driven;
    std::ranges::remove_copy_if(runs, std::back_inserter(driven), for_coasting);
    if (driven.empty()) driven.assign(runs.begin(), runs.end());
    return driven;
}

class ReportMaker {
public:
    ReportMaker(const JobSheet& job, std::span<const RunView> runs)
        : job_(job),
          runs_(runs),
          coasting_(coastdown_estimate(job, runs)),
          sets_(sets_of(driven_for_power(runs, coasting_))),
          road_(road_estimate(job, runs, sets_, coasting_.road)) {
        report_.coastdown = coasting_.told;
        report_.job = job.id.empty() ? job.title : job.id;
        report_.goal = job.goal;
        for (const RunView& run : runs) {
            report_.logs.push_back(run.log().file);
            report_.excluded.insert(report_.excluded.end(), run.excluded.begin(), run.excluded.end());
        }
        report_.pulls = road_.pulls;
        report_.assumptions = road_.assumptions;
        report_.assumptions.insert(report_.assumptions.end(), job.defaults_used.begin(), job.defaults_used.end());
    }

    PowerReport run() {
        for (std::size_t set = 0; set < sets_.size(); ++set) report_.sets.push_back(make_set(set));
        for (std::size_t set = 0; set + 1 < sets_.size(); ++set) add_difference(set, sets_.size() - 1);
        return std::move(report_);
    }

private:
    PowerSet make_set(std::size_t index) const {
        const ImageRuns& runs = sets_[index];
        PowerSet set{.image = runs.image, .digest = runs.digest};
        std::vector<const RunView*> views;
        for (const std::size_t run : runs.runs) {
            views.push_back(&runs_[run]);
            set.logs.push_back(runs_[run].log().file);
        }
        decide_correction(job_, views, set);
        std::vector<NamedEstimate> combined;
        take_road(index, set, combined);
        take_witness(PowerMethod::dynamometer, dynamometer_witness(views), set, combined);
        take_witness(PowerMethod::air_flow, air_flow_witness(views), set, combined);
        take_witness(PowerMethod::control_unit, control_unit_witness(views), set, combined);
        const auto all = combine(combined);
        if (!all) return set;
        set.agreement = all->agreement;
        set.combined = curve_of(all->estimate, set.correction_factor);
        set.as_measured = curve_of(all->estimate, 1.0);
        add_remedies(index, set);
        return set;
    }

    void take_road(std::size_t index, PowerSet& set, std::vector<NamedEstimate>& combined) const {
        const auto found = road_.by_set.find(index);
        const bool driven_on_road =
            std::ranges::any_of(sets_[index].runs, [&](std::size_t run) { return on_road(runs_[run]); });
        if (found == road_.by_set.end() && !driven_on_road) return;
        if (found == road_.by_set.end()) {
            const auto why = road_.refused_by_set.find(index);
            set.refused.push_back({PowerMethod::road_load, !road_.refused.empty() ? road_.refused
                                                           : why != road_.refused_by_set.end()
                                                               ? why->second
                                                               : "no full-load pull on the road can be used"});
            return;
        }
        set.methods.push_back({PowerMethod::road_load, curve_of(found->second, set.correction_factor)});
        combined.push_back({PowerMethod::road_load, found->second});
    }

    static void take_witness(PowerMethod method, Witness witness, PowerSet& set, std::vector<NamedEstimate>& combined) {
        if (!witness.estimate && witness.refused.empty()) return;
        if (!witness.estimate) {
            set.refused.push_back({method, std::move(witness.refused)});
            return;
        }
        set.methods.push_back(
            {method, curve_of(*witness.estimate, set.correction_factor), witness.combined, std::move(witness.why_not)});
        if (witness.combined) combined.push_back({method, std::move(*witness.estimate)});
    }

    void add_remedies(std::size_t index, PowerSet& set) const {
        if (!road_.by_set.contains(index)) {
            set.in_one_sentence = without_road_in_words(set);
            return;
        }
        const PowerPeak& peak = set.as_measured->power_kw;
        set.remedies = remedies_of(*road_.drive, *road_.fit, road_.curve_of_set.at(index), peak.engine_speed_rpm,
                                   0.5 * (peak.interval.high - peak.interval.low));
        set.in_one_sentence = uncertainty_in_words(set.as_measured->power_kw, set.remedies);
    }

    void add_difference(std::size_t from, std::size_t to) {
        const auto before = road_.by_set.find(from), after = road_.by_set.find(to);
        if (before == road_.by_set.end() || after == road_.by_set.end()) return;
        const PowerCurve old_curve = curve_of(before->second, 1.0), new_curve = curve_of(after->second, 1.0);
        auto difference = difference_of(*road_.fit, {.from = road_.curve_of_set.at(from),
                                                     .to = road_.curve_of_set.at(to),
                                                     .from_torque = &before->second,
                                                     .to_torque = &after->second,
                                                     .from_power = old_curve.power_kw,
                                                     .to_power = new_curve.power_kw,
                                                     .from_peak_torque = old_curve.torque_nm,
                                                     .to_peak_torque = new_curve.torque_nm});
        if (!difference) return;
        difference->from = from, difference->to = to;
        report_.differences.push_back(std::move(*difference));
    }

    const JobSheet& job_;
    std::span<const RunView> runs_;
    CoastdownEstimate coasting_;
    std::vector<ImageRuns> sets_;
    RoadEstimate road_;
    PowerReport report_;
};

}  // namespace

PowerReport power_report(const JobSheet& job, std::span<const RunView> runs) { return ReportMaker(job, runs).run(); }

bool measured_power(const PowerReport& report) {
    const auto measured = [](const MethodPower& each) {
        return each.method == PowerMethod::road_load || each.method == PowerMethod::dynamometer;
    };
    return !report.sets.empty() && std::ranges::any_of(report.sets.back().methods, measured);
}

}  // namespace revwright
