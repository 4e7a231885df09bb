#include "review/review.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/directions.h"
#include "review/leave_out.h"
#include "review/one_cause.h"
#include "review/run_view.h"
#include "review/standard_run.h"
#include "review/view_runs.h"

namespace revwright {
namespace {

ReviewedRun reviewed_run(const RunView& run) {
    ReviewedRun reviewed{.log = run.index, .standard = run.driven.standard};
    if (run.driven.tables) reviewed.image = run.driven.tables->image;
    const RunEntry* entry = run.driven.run;
    if (!entry) return reviewed;
    if (!reviewed.image) reviewed.image = entry->image_sha256;
    reviewed.place = entry->place;
    reviewed.direction = entry->direction;
    reviewed.fuel_batch = entry->fuel_batch;
    reviewed.ron = entry->ron;
    reviewed.occupants_kg = entry->occupants_kg;
    reviewed.slope_pct = entry->slope_pct;
    reviewed.ambient_temp_c = entry->ambient_temp_c;
    reviewed.ambient_pressure_kpa = entry->ambient_pressure_kpa;
    return reviewed;
}

/// The first channel of every group of needs that has none.
std::vector<Signal> missing_in(const RunView& run, const Check& check) {
    std::vector<Signal> missing;
    for (const std::vector<Signal>& group : check.needs) {
        const auto there = [&](Signal signal) { return !run.all(signal).empty(); };
        if (std::ranges::none_of(group, there)) missing.push_back(group.front());
    }
    return missing;
}

/// knock-cylinder needs to know which cylinder is which, manifold pressure the throttle it is behind, rail pressure its
/// target.
void add_special_needs(const RunView& run, const Check& check, std::vector<std::string>& missing) {
    const bool ready = missing.empty();
    if (check.id == "knock-cylinder" && ready && !run.find(ChannelKey{Signal::knock_retard_deg, 1}))
        missing.emplace_back("knock_retard_deg.1");
    const bool boost = check.id.starts_with("boost-");
    if (boost && ready && !run.find(Signal::boost_pressure_kpa) && !run.find(Signal::throttle_pct))
        missing.emplace_back("throttle_pct");
    if (check.id == "fuel-pressure" && ready && !run.find(Signal::fuel_pressure_low_kpa) &&
        !run.find(Signal::rail_pressure_target_mpa))
        missing.emplace_back("rail_pressure_target_mpa");
}

std::vector<std::string> missing_channels(const RunView& run, const Check& check) {
    std::vector<std::string> names;
    for (const Signal signal : missing_in(run, check)) names.push_back(to_string(ChannelKey{signal, 0}));
    add_special_needs(run, check, names);
    return names;
}

bool is_set(const Limit& limit) { return limit.watch || limit.mend || limit.stop; }

/// Channels that naming left open and that may be one of these: naming them would let the check run.
std::string may_be_there(const Log& log, const std::vector<std::string>& missing) {
    std::string text;
    for (const std::string& name : missing)
        for (const Channel& channel : log.channels)
            if (std::ranges::count(channel.candidates, name) > 0)
                text += fmt::format("; {} may be channel {}: name it in a channel sheet", name, channel.name);
    return text;
}

std::string why_missing(const RunView& run, const std::vector<std::string>& missing) {
    for (const std::string& name : missing)
        if (const auto key = channel_key(name); key && run.log().find(*key))
            return fmt::format("{} {}", name, why_left_out(run, *key));
    return fmt::format("{} {} not logged{}", fmt::join(missing, ", "), missing.size() == 1 ? "is" : "are",
                       may_be_there(run.log(), missing));
}

/// The last component of a path of either kind.
std::string file_name(const std::string& path) { return path.substr(path.find_last_of("/\\") + 1); }

class Reviewer {
public:
    Reviewer(const JobSheet& job, std::span<const DrivenLog> logs) : job_(job), runs_(view_runs(job, logs)) {
        for (const RunView& run : runs_) {
            review_.logs.push_back(run.log().file);
            review_.runs.push_back(reviewed_run(run));
            review_.pulls.insert(review_.pulls.end(), run.pulls.begin(), run.pulls.end());
            review_.excluded.insert(review_.excluded.end(), run.excluded.begin(), run.excluded.end());
        }
    }

    Review run() {
        for (const Check& check : all_checks()) apply(check);
        compare_with_standard(runs_, review_.findings);
        review_.notes = health_notes(runs_, review_.findings);
        const std::vector<std::string> ways = direction_notes(review_.pulls);
        review_.notes.insert(review_.notes.end(), ways.begin(), ways.end());
        keep_one_per_cause(review_.findings);
        keep_one_clear();
        sort_findings();
        return std::move(review_);
    }

private:
    void apply(const Check& check) {
        if (check.boosted_only && !job_.engine.turbocharged()) return;
        if (check.only_where_limited && !is_set(job_.limits.at(check.limit))) return;
        std::vector<RunView> able;
        for (const RunView& run : runs_) {
            std::vector<std::string> missing = missing_channels(run, check);
            std::optional<Obstacle> obstacle;
            if (missing.empty() && check.obstacle) obstacle = check.obstacle(run);
            if (obstacle)
                not_checked(check, run, std::move(obstacle->missing), std::move(obstacle->text));
            else if (!missing.empty())
                not_checked(check, run, missing, why_missing(run, missing));
            else
                able.push_back(run);
        }
        if (able.empty()) return;
        const Limit limit = check.limit.empty() ? Limit{} : job_.limits.at(check.limit);
        std::vector<Finding> found =
            check.judge_all ? check.judge_all(able, check, limit) : each_pull(check, able, limit);
        if (found.empty()) {
            NotChecked entry{std::string(check.id), {}, check.standing};
            entry.text =
                review_.pulls.empty() ? "there is no pull to judge" : "no pull is long and steady enough to judge";
            review_.not_checked.push_back(std::move(entry));
        }
        for (Finding& finding : found) {
            complete(check, limit, finding);
            review_.findings.push_back(std::move(finding));
        }
    }

    void not_checked(const Check& check, const RunView& run, std::vector<std::string> missing, std::string why) {
        NotChecked entry{std::string(check.id), std::move(missing), check.standing};
        if (runs_.size() > 1) entry.log = run.index;
        entry.text = std::move(why);
        review_.not_checked.push_back(std::move(entry));
    }

    static std::vector<Finding> each_pull(const Check& check, std::span<const RunView> runs, const Limit& limit) {
        std::vector<Finding> findings;
        for (const RunView& run : runs)
            for (const Pull& pull : run.pulls) {
                auto found = check.judge_pull({&run, pull}, check, limit);
                if (!found) continue;
                found->pull = pull.index;
                found->log = run.index;
                findings.push_back(std::move(*found));
            }
        return findings;
    }

    /// Fills in what the row knows, and where in the log it was.
    void complete(const Check& check, const Limit& limit, Finding& finding) const {
        if (finding.check.empty()) finding.check = check.id;
        if (finding.unit.empty()) finding.unit = limit.unit;
        if (finding.levers.empty()) finding.levers = check.levers;
        if (finding.source.empty()) finding.source = limit.source;
        if (finding.engine_speed_rpm == 0.0 && finding.log && !check.needs.empty()) {
            const PullView view{&runs_[*finding.log], {}};
            finding.engine_speed_rpm = view.engine_speed_at(finding.time_s);
        }
        if (finding.severity == Severity::clear) return;
        const std::string file = file_name(review_.logs[finding.log.value_or(0)]);
        if (finding.pull)
            finding.text = fmt::format("Pull {}{} at {:.0f} rpm: {}.", *finding.pull,
                                       runs_.size() > 1 ? " of " + file : "", finding.engine_speed_rpm, finding.text);
        else
            finding.text = fmt::format("{}: {}.", file, finding.text);
    }

    /// One clear finding for each check without another finding: that of the pull nearest to the limit.
    void keep_one_clear() {
        std::vector<Finding> kept;
        for (const Check& check : all_checks()) {
            const Finding* nearest = nullptr;
            bool clear = true;
            for (const Finding& finding : review_.findings) {
                if (finding.check != check.id) continue;
                if (finding.severity != Severity::clear) clear = false;
                if (!nearest || finding.margin < nearest->margin) nearest = &finding;
            }
            if (clear && nearest) kept.push_back(*nearest);
        }
        std::erase_if(review_.findings, [](const Finding& finding) { return finding.severity == Severity::clear; });
        review_.findings.insert(review_.findings.end(), kept.begin(), kept.end());
    }

    /// Worst first; equals stay in the order of the checks, logs and pulls.
    void sort_findings() {
        const auto relative = [](const Finding& finding) {
            return finding.limit == 0.0 ? finding.margin : finding.margin / std::abs(finding.limit);
        };
        std::ranges::stable_sort(review_.findings, [&](const Finding& a, const Finding& b) {
            if (a.severity != b.severity) return a.severity > b.severity;
            return relative(a) < relative(b);
        });
    }

    const JobSheet& job_;
    std::vector<RunView> runs_;
    Review review_;
};

}  // namespace

Review review(const JobSheet& job, std::span<const DrivenLog> logs) { return Reviewer(job, logs).run(); }

}  // namespace revwright
